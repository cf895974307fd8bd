"""A transport for the providers of points, with answers by the beginning of a path."""

from collections.abc import Callable
from typing import Any

from forecasts.transport import Answer
from tests.forecasts.answers import as_bytes
from tests.forecasts.scripted import Script, gone


class PointScript(Script):
    """Answers by the longest beginning that fits: a dict or list, an error, None for "not
    modified", an `Answer`, or a function of the path that gives one of these.
    """

    def __init__(self, **answers: Any) -> None:
        super().__init__(answers)

    def get(self, path: str, if_modified_since: str | None = None) -> Answer:
        self.asked.append((path, if_modified_since))
        told = next((self.answers[one] for one in self.answers if one in path), gone())
        if isinstance(told, Callable):
            told = told(path)
        if isinstance(told, Exception):
            raise told
        if isinstance(told, Answer):
            return told
        return Answer(None if told is None else as_bytes(told))
