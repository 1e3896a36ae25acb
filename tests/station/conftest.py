import pytest
from kit import Kit

from assistant.record.store import Store


@pytest.fixture
def kit(tmp_path):
    path = tmp_path / "record.db"
    with Store.open(path, write=True) as store:
        yield Kit(path, store)
