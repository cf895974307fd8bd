"""``warmspell verify`` against observations: gather, score, tell."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from statistics import median

from dispatch.own_error_figures import OwnErrorFigures
from dispatch.own_errors import by_hand_words, not_readable, with_own_errors
from dispatch.report import MorningReport
from forecasts.matched import first_of_each_day, matched
from forecasts.observed import ObservedReports
from scheduler import exit_codes
from scheduler.data_error import DataError
from scheduler.opening import OpenFarm, open_farm
from scheduler.own_errors import forget_own_errors, keep_own_errors
from scheduler.promised_windows import Rules, WindowScores, window_scores
from scheduler.speaking import say, talk
from scheduler.verified import Verified, WatchedForecast, source_scores
from scheduler.verified_json import verified_json
from scheduler.verified_tables import show_verified
from scheduler.watched import Watched, cells_by_field, watched_file, watched_station
from storage.errors import StorageError

#: How far below the forecasts the middle of a record may lie before it must be Celsius [F].
#: Judgement: a place may well be 10 F colder than its cell, never 25 F in the middle.
COLDER_THAN_TOLD_F = 25.0


def verify(
    config_path: Path,
    observed: Path | None = None,
    station: str | None = None,
    as_json: bool = False,
    plot: Path | None = None,
    keep: bool = False,
) -> int:
    """Hold archived forecasts and kept plans against what was observed, and tell the outcome.

    Parameters
    ----------
    config_path
        The farm's config file.
    observed, station
        A CSV of daily lows, highs and rain, or the id of a weather station; one of them.
    as_json
        JSON instead of tables.
    plot
        Where a picture is drawn, or None.
    keep
        Whether the farm's own errors of lows are kept for the mornings to come.

    Raises
    ------
    DataError, ForecastError, StorageError, ConfigError
        What is wrong with the record, the station, the database, or the config.
    """
    if (observed is None) == (station is None):
        raise DataError(["verify: got no observations, wanted --observed FILE or --station ID"])
    with open_farm(config_path) as farm:
        told = verified(farm, observed, station)
        # Whoever looks later, such as at the board, sees what was found last.
        farm.stores.verifications.keep(verified_json(told), farm.now)
        kept, refused = _keep(farm, told) if keep else ([], [])
    for place in told.places:
        if isinstance(place.observed, ObservedReports):
            for words in place.observed.refused:
                talk(f"station {place.observed.station}: not used: {words}")
    if as_json:
        say(verified_json(told))
    else:
        show_verified(told)
    if plot is not None:
        from scheduler.verified_picture import plot_verified

        plot_verified(told, plot)
        talk(f"The scores are drawn in {plot}.")
    for line in (*kept, *refused):
        talk(line)
    return exit_codes.BAD_DATA if refused and not kept else exit_codes.OK


def forget(config_path: Path) -> int:
    """Take back the errors of lows that were kept, so that mornings count without them."""
    with open_farm(config_path) as farm:
        lines = forget_own_errors(farm.stores, farm.now)
    for line in lines or ["Nothing to take back: no errors of lows are kept."]:
        talk(line)
    return exit_codes.OK


def _keep(farm: OpenFarm, told: Verified) -> tuple[list[str], list[str]]:
    """Keep the errors found; without any forecast of the place there are none to keep."""
    observed = "; ".join(one.words for one in told.places)
    kept, refused = keep_own_errors(farm.stores, told.sources, observed, farm.now)
    if not told.sources:
        refused = ["verify --keep: got no forecasts of this place, so nothing was kept"]
    by_hand = by_hand_words(farm.config.settings.dispatch)
    if kept and by_hand:
        kept.append(f"They are not used as long as {by_hand}.")
    return kept, refused


def verified(farm: OpenFarm, observed: Path | None, station: str | None) -> Verified:
    """Scores of the archive and of the plans of an open farm."""
    plans = list(farm.stores.plans.last_of_each_day())
    cells_of = cells_by_field(farm, [one.inputs for one in plans])
    if observed is not None:
        places = watched_file(farm, observed, cells_of)
    else:
        places = [watched_station(farm, station or "", cells_of)]
    by_source: dict[str, list[WatchedForecast]] = {}
    for place in places:
        for source, found in _watched(farm, place):
            by_source.setdefault(source, []).append(found)
    if observed is not None:
        _refuse_celsius(observed, by_source)
    policy = farm.config.settings.dispatch
    reports = [one.report for one in plans if one.report is not None]
    return Verified(
        places=tuple(places),
        sources=tuple(
            replace(source_scores(name, found, policy), own_errors=_own_errors(farm, name))
            for name, found in by_source.items()
        ),
        windows=_windows(farm, places, cells_of, reports),
        mornings=len(reports),
        unread=len(plans) - len(reports),
    )


def _own_errors(farm: OpenFarm, source: str) -> OwnErrorFigures | None:
    """Whether mornings that a source leads count with errors that were kept."""
    try:
        kept = farm.stores.own_errors.standing(farm.now)
    except StorageError as fault:
        return not_readable(f"they cannot be read: {fault}")
    return with_own_errors(farm.config.settings.dispatch, kept, source, farm.today)[1]


def _watched(farm: OpenFarm, place: Watched) -> list[tuple[str, WatchedForecast]]:
    issues = [
        issue
        for cell in sorted(place.cells)
        for issue in farm.stores.forecasts.history(cell)
        if issue.fetched_utc <= farm.now
    ]
    issues.sort(key=lambda one: one.source)
    freeze_f = farm.config.rules[place.field.id].gates.freeze_f
    return [
        (
            source,
            WatchedForecast(
                matched(
                    first_of_each_day(some, place.place.zone),
                    place.place,
                    place.observed,
                    farm.now,
                ),
                freeze_f,
            ),
        )
        for source, some in groupby(issues, key=lambda one: one.source)
    ]


def _windows(
    farm: OpenFarm,
    places: Sequence[Watched],
    cells_of: dict[str, set[str]],
    reports: Sequence[MorningReport],
) -> WindowScores:
    rules: dict[str, Rules] = {}
    for place in places:
        for one in farm.config.fields:
            same_cell = not place.own and place.cells & cells_of.get(one.id, set())
            if one.id == place.field.id or same_cell:
                gates = farm.config.rules[one.id].gates
                rules[one.id] = Rules(
                    place.place,
                    place.observed,
                    gates.freeze_f,
                    gates.freeze_free_days,
                    0.0 if place.own else one.cold_spot_f,
                )
    return window_scores(reports, rules, farm.now)


def _refuse_celsius(file: Path, by_source: dict[str, list[WatchedForecast]]) -> None:
    for column in ("lows", "highs"):
        apart = [
            seen - told
            for places in by_source.values()
            for one in places
            for told, seen in zip(
                getattr(one.pairs, column).told, getattr(one.pairs, column).observed, strict=True
            )
            if seen == seen
        ]
        if apart and median(apart) < -COLDER_THAN_TOLD_F:
            raise DataError(
                [
                    f"{file}: {column.removesuffix('s')}_f: got figures {-median(apart):.0f} F "
                    "below the forecasts in the middle, wanted deg F; it looks like Celsius: "
                    "convert the column"
                ]
            )
