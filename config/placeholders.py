"""What the starter left to be filled in, and still stands there."""

from collections.abc import Iterable, Iterator

from config.key_path import Path
from config.settings import Settings
from forecasts.tellers import Tellers

#: Id of the treatment in the starter, whose numbers come from no label.
STARTER_TREATMENT = "example-mix"
#: Domains kept for examples (RFC 2606, 1999, section 3).
EXAMPLE_DOMAINS = ("example.com", "example.net", "example.org")


def still_the_starter(settings: Settings, tellers: Iterable[Tellers]) -> Iterator[tuple[Path, str]]:
    """Example values that must not reach a real morning."""
    for place, treatment in enumerate(settings.treatments):
        if treatment.id == STARTER_TREATMENT:
            yield (
                ("treatments", place, "id"),
                "got the starter's example, whose hours come from no label; enter your own mix "
                "with the numbers on its labels",
            )
    contact = settings.forecast.contact or ""
    asked = {name for one in tellers for name in one.names}
    if settings.forecast.source == "folder":
        return
    if {"nws", "met_norway"} & asked and contact.endswith(EXAMPLE_DOMAINS):
        yield (
            ("forecast", "contact"),
            "got an example address, wanted one the weather service can write to; enter yours",
        )
