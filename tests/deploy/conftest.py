"""The command line as a person uses it."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from scheduler.commands import run


@dataclass(frozen=True)
class Told:
    """What a command said and what it exited with."""

    code: int
    out: str


@pytest.fixture
def warmspell(capsys: pytest.CaptureFixture[str]) -> Callable[..., Told]:
    """Run a command in this process."""

    def call(*arguments: str) -> Told:
        capsys.readouterr()
        code = run(list(arguments))
        return Told(code, capsys.readouterr().out)

    return call
