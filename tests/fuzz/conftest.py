"""Before inputs are timed each night: every kernel is compiled or loaded, which takes seconds once."""

import pytest
from tests import selection

from lampwright.app.toy import assess_toy, flash_toy, look_toy, search_toy, survey_toy


@pytest.fixture(scope="session", autouse=True)
def warm() -> None:
    if selection.NIGHTLY:
        for toy in (search_toy, survey_toy, flash_toy, assess_toy, look_toy):
            toy()
