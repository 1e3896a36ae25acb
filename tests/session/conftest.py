import pytest
from bench import Bench


@pytest.fixture
def bench() -> Bench:
    return Bench()
