"""Folders of recorded answers that are not part of the project."""

import os
from pathlib import Path

import pytest


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
