"""Figures of the worker as a file that a monitoring agent picks up, in the Prometheus format.

Text exposition format 0.0.4, as read by the textfile collector of a node exporter.
"""

import math
import os
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from storage.delivery_counts import Standing

CHANNELS = ("mail", "sms")
STATES = ("pending", "sending", "sent", "failed", "suppressed")


@dataclass(frozen=True)
class Figure:
    """One figure with its samples: labels and value each."""

    name: str
    help: str
    samples: tuple[tuple[Mapping[str, str], float], ...]


def figures(
    report: "MorningReport | None",
    rows: "Iterable[Standing]",
    *,
    told_whole: bool,
    now: datetime,
) -> tuple[Figure, ...]:
    """What is known of the latest morning, as figures; ``now`` is when somebody looked."""
    states = Counter((channel, state) for _, channel, _, state in rows)
    of_messages = tuple(
        ({"channel": channel, "state": state}, float(states[channel, state]))
        for channel in CHANNELS
        for state in STATES
    )
    return (
        _one("warmspell_worker_seen_timestamp_seconds", "Last time the worker looked.", now),
        Figure("warmspell_messages", "Messages of today by channel and state.", of_messages),
        _one(
            "warmspell_morning_told_whole",
            "Whether all fields are counted and all messages of today sent.",
            float(told_whole),
        ),
        *(_of_report(report) if report is not None else ()),
    )


def _of_report(report: "MorningReport") -> Iterator[Figure]:
    run = report.run
    yield _one(
        "warmspell_morning_made_timestamp_seconds", "When the morning was made.", run.made_utc
    )
    yield Figure(
        "warmspell_fields",
        "Fields by call; they sum to the fields registered.",
        tuple(({"call": call.value}, float(count)) for call, count in run.counts.items()),
    )
    ages = [one.forecast.age_h for one in report.fields if one.forecast.age_h is not None]
    if ages:
        yield _one("warmspell_forecast_age_hours", "Age of the oldest forecast used.", max(ages))
    yield _one("warmspell_queue_days", "Length of the line.", float(run.queue_days))


def _one(name: str, told: str, value: float | datetime) -> Figure:
    number = value.timestamp() if isinstance(value, datetime) else value
    return Figure(name, told, (({}, number),))


def exposition(told: Iterable[Figure]) -> str:
    """The figures as text, each with its help and type."""
    lines = []
    for figure in told:
        lines.append(f"# HELP {figure.name} {_escaped(figure.help)}")
        lines.append(f"# TYPE {figure.name} gauge")
        lines += [
            f"{figure.name}{_labels(labels)} {_number(value)}" for labels, value in figure.samples
        ]
    return "\n".join(lines) + "\n"


def write_whole(path: Path, text: str) -> None:
    """Write a file so that a reader finds the old one or the new one, never a part; OSError."""
    handle, part = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        # Agents run as another user; there is nothing secret in it.
        os.chmod(part, 0o644)
        os.replace(part, path)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise


def _labels(labels: Mapping[str, str]) -> str:
    if not labels:
        return ""
    inside = ",".join(f'{name}="{_escaped(value, quotes=True)}"' for name, value in labels.items())
    return f"{{{inside}}}"


def _escaped(text: str, *, quotes: bool = False) -> str:
    plain = text.replace("\\", r"\\").replace("\n", r"\n")
    return plain.replace('"', r"\"") if quotes else plain


def _number(value: float) -> str:
    if not math.isfinite(value):
        return "NaN" if math.isnan(value) else "+Inf" if value > 0 else "-Inf"
    return str(int(value)) if value == int(value) else repr(value)
