"""Rounds of asking: those who lead, as often as time allows, and those who stand in, once."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from farm.grid_cell import GridCell
from forecasts.asked import Asked
from forecasts.cell_answers import CellAnswers, Found
from forecasts.cells import Place
from forecasts.later_rounds import LaterRounds
from forecasts.sources import ForecastSource, PointSource
from forecasts.standing_in import better, wants_stand_in
from forecasts.turns import Turns

Progress = Callable[[int, int], None]

#: Places by the source that is asked for them.
PlacesOf = Mapping[ForecastSource, Sequence[Place]]


class Steps:
    """Steps taken, told as they are taken."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress, self._total, self._done = progress, total, 0

    def take(self, steps: int) -> None:
        """Take some."""
        self._done += steps
        if self._progress is not None:
            self._progress(self._done, self._total)


def ask_leaders(
    led: PlacesOf, asked: Asked, time_s: float, steps: Steps, rounds: LaterRounds
) -> dict[str, Found]:
    """What the sources that lead tell, by field, in as many rounds as the time allows."""
    turns = Turns(time_s)
    for source, places in led.items():
        asked.answers(source, leads=tuple(places))
        asked.begin(source, time_s)
    found = _in_turns(led, asked, turns, steps)
    while pending := _worth_asking_again(led, asked):
        if not rounds.another(lambda: steps.take(0)):
            break
        for source in pending:
            asked.answers(source).forget_misses()
        found |= _in_turns(pending, asked, turns)
    return found


def _worth_asking_again(led: PlacesOf, asked: Asked) -> PlacesOf:
    # Without a request sent there is nobody who could tell more in some minutes.
    some = {
        source: asked.answers(source).worth_asking_again(places)
        for source, places in led.items()
        if source.requests
    }
    return {source: places for source, places in some.items() if places}


def ask_stand_ins(
    standing_in: PlacesOf,
    found: Mapping[str, Found],
    asked: Asked,
    time_s: float,
    after_h: float,
    now: datetime,
) -> dict[str, Found]:
    """What stands, by field, for places that their leader has nothing new enough for."""
    missed = {
        source: [one for one in places if wants_stand_in(found[one.field_id], after_h, now)]
        for source, places in standing_in.items()
    }
    missed = {source: places for source, places in missed.items() if places}
    for source in missed:
        asked.begin(source, time_s)
    told = _in_turns(missed, asked, Turns(time_s))
    return {name: better(found[name], other, now) for name, other in told.items()}


def _in_turns(
    places_of: PlacesOf, asked: Asked, turns: Turns, steps: Steps | None = None
) -> dict[str, Found]:
    """What is known for each place after each source had its turn, as long as it has places."""
    found: dict[str, Found] = {}
    left = sum(len(places) for places in places_of.values())
    for source, places in places_of.items():
        answers = asked.answers(source)
        answers.take_turn(turns.next(len(places) / left))
        found |= ask_round(places, source, answers, steps)
        left -= len(places)
    return found


def ask_round(
    places: Sequence[Place],
    source: ForecastSource,
    answers: CellAnswers,
    steps: Steps | None = None,
) -> dict[str, Found]:
    """What is known for each place after asking once."""
    steps = steps or Steps(None, 0)
    found: dict[str, Found] = {}
    groups: dict[str, list[Place]] = {}
    cells: dict[str, GridCell] = {}
    for place in places:
        cell, problem = answers.cell_of(place)
        if cell is None:
            found[place.field_id] = Found(f"field:{place.field_id}", None, problem)
        else:
            answers.expect(place, cell)
            groups.setdefault(cell.id, []).append(place)
            cells[cell.id] = cell
        steps.take(1 if cell is not None else 2)
    if isinstance(source, PointSource):
        source.expect(answers.unasked(cells.values()))
    for cell_id, group in groups.items():
        for place in group:
            found[place.field_id] = answers.for_place(place, cell_id)
        steps.take(len(group))
    return found
