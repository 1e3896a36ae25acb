"""No test reads what the user has set up."""

import pytest


@pytest.fixture(autouse=True, scope="session")
def no_settings_of_the_user(tmp_path_factory):
    """The config folder of this test run is empty; commands that tests start inherit it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_CONFIG_HOME", str(tmp_path_factory.mktemp("config")))
        yield
