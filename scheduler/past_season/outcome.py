"""How each rule did on a recorded season, and what of that stands on little."""

from collections.abc import Sequence

import numpy as np

from dispatch.season import assumptions as assumed
from dispatch.season.run import Outcome
from dispatch.season.worth import warmth_gained, washed, worked_by_hour
from scheduler.past_season.mornings import Morning
from scheduler.past_season.season import RecordedSeason
from scheduler.past_season.truth import FIRST_DAY_H


def coverage(season: RecordedSeason, mornings: Sequence[Morning]) -> list[str]:
    """What of the truth stands on something older than a day, or on nothing."""
    until = season.weather.index(mornings[-1].now) + FIRST_DAY_H
    lead = season.weather.lead_h[:until]
    notes = []
    if old := int((lead >= FIRST_DAY_H).sum()):
        notes.append(
            f"{old} hours are told by an issue more than a day older: no newer one is there"
        )
    if none := int(np.isnan(lead).sum()):
        notes.append(f"{none} hours are told by nobody and count as cold and dry")
    late = [int((sprayed >= until - 24 * 7).sum()) for sprayed in season.sprayed_h.values()]
    if max(late):
        notes.append(
            "sprays of the last 7 days are judged by forecasts of what came after them: "
            f"{late[0]} of ours"
        )
    if not (season.ever_mature_h < season.weather.temp_f.shape[1]).any():
        notes.append("no field was ever counted mature, so no rule sprays; are the visits kept?")
    return notes


def outcome_of(season: RecordedSeason, rule: str) -> Outcome:
    fields, sprayed = season.config.fields, season.sprayed_h[rule]
    acres = np.array([one.acres for one in fields])
    share = acres / acres.sum()
    worth = np.array([_worth(season, place, int(hour)) for place, hour in enumerate(sprayed)])
    ripe = season.ever_mature_h < season.killed_h
    return Outcome(
        season=0,
        rule=rule,
        worth_pct=100 * float(share @ worth),
        caught_pct=100 * float(share @ (sprayed < 0)),
        ripe_caught_pct=100 * float(share @ ((sprayed < 0) & ripe)),
        rig_hours=season.fleets[rule].worked_h,
        usable_rig_hours=season.usable_h,
    )


def _worth(season: RecordedSeason, place: int, start: int) -> float:
    """What a spray turned out to be worth: warmth up to the kill, less what rain washed off."""
    if start < 0:
        return assumed.LEAST_WORTH
    rules = season.config.rules[season.config.fields[place].id]
    # An hour nobody told has no warmth.
    worked = worked_by_hour(np.nan_to_num(season.weather.temp_f[place], nan=0.0))
    gained = warmth_gained(worked, start, int(season.killed_h[place]))
    if washed(season.weather.wet[place], start, rules.treatment.rain_free_h):
        gained *= 1 - season.config.settings.dispatch.wash_loss_frac
    return max(assumed.LEAST_WORTH, gained)
