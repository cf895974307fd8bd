"""Folders of recorded answers that are not part of the project, and the mark of a fault."""

import logging
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

# A machine that is busy is no fault of what is tested.
settings.register_profile("house", deadline=None)
settings.load_profile("house")


def pytest_configure(config: pytest.Config) -> None:
    """Make the mark known that says which row of the fault table a test proves."""
    config.addinivalue_line("markers", "fault(*ids): rows of the fault table that a test proves")


@pytest.fixture(scope="session")
def recorded_answers() -> Path:
    """The folder named by RECORDED_ANSWERS; tests that need it skip where it is not set."""
    told = os.environ.get("RECORDED_ANSWERS")
    if not told:
        pytest.skip("RECORDED_ANSWERS is not set: recorded answers of the weather service are out")
    folder = Path(told)
    if not folder.is_dir():
        pytest.fail(f"RECORDED_ANSWERS: got {told}, wanted an existing folder")
    return folder


@pytest.fixture(autouse=True)
def log_put_back() -> Iterator[None]:
    """A worker sends its log to a stream, and a test's stream is closed when the test is over."""
    logger = logging.getLogger("warmspell")
    before = logger.handlers[:]
    yield
    logger.handlers[:] = before
