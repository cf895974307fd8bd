"""A mill whose forecasts come over HTTP, from hosts whose clocks the test sets."""

import json
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from email.utils import format_datetime
from pathlib import Path
from typing import Any
from unittest.mock import patch

from forecasts.client import WeatherClient
from tests.acceptance.weather_service import Fault, Service, good, head, saying, serving
from tests.reliability.mill import Mill

GEO = "application/geo+json"


@dataclass
class Fed:
    """A mill and the service that leads; ``clocks`` of both services, by name."""

    mill: Mill
    lead: Service
    other: Service

    def grid_asked(self) -> int:
        """How often forecasts of cells were asked for."""
        return sum(path.startswith("/gridpoints") for path in self.lead.asked)


def dated(now: Callable[[], datetime]) -> Fault:
    """Good answers that tell a time."""

    def fault(connection, body: bytes) -> None:
        if not body:
            good(connection, body)
            return
        told = format_datetime(now(), usegmt=True)
        connection.sendall(head(200, GEO, Content_Length=len(body), Date=told) + body)

    return fault


def only_dated(now: Callable[[], datetime]) -> Fault:
    """Answers that hold nothing but the time."""

    def fault(connection, body: bytes) -> None:
        told = format_datetime(now(), usegmt=True)
        saying(200, b"{}", "application/json", Date=told)(connection, body)

    return fault


def feed(mill: Mill, stack: ExitStack) -> Fed:
    """The mill with its forecasts from a service on loopback, and another that looks further."""
    # Waiting for one's turn is tested elsewhere.
    told: Any = WeatherClient.__init__.__kwdefaults__
    stack.enter_context(patch.dict(told, sleep=lambda _: None))
    lead = stack.enter_context(serving(mill.folder / "answers"))
    other = stack.enter_context(serving(mill.folder / "nothing"))
    config = Path(mill.config)
    settings = {
        "source": "nws",
        "contact": "office@feedfarm.example",
        "address": lead.address,
        "extend": "open_meteo",
        "open_meteo_address": other.address,
        "tries": 1,
        "requests_per_second": 5.0,
    }
    lines = "".join(f"{name} = {json.dumps(value)}\n" for name, value in settings.items())
    text = config.read_text()
    config.write_text(text.replace('source = "folder"\npath = "answers"\n', lines))
    return Fed(mill, lead, other)
