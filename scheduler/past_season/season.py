"""One recorded season as it goes: what came, and each rule's fields and rigs."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import timedelta

import numpy as np
import numpy.typing as npt

from agronomy.hourly_forecast import whole_hour
from config.farm_config import FarmConfig
from dispatch.line import fleet_rate, rig_hours
from dispatch.season.rigs import Fleet
from dispatch.season.rules import RULES_OF_OTHERS
from dispatch.season.run import OURS
from scheduler.past_season.mornings import Morning
from scheduler.past_season.truth import SeasonWeather
from scheduler.watched import Watched

Whole = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

#: Hours past the last morning that its forecast may tell [h].
TAIL_H = 216


@dataclass(eq=False)
class RecordedSeason:
    """The season as it goes. ``notes`` are lines for people."""

    config: FarmConfig
    weather: SeasonWeather
    lot: Floats
    rigs_at_work: int
    sprayed_h: dict[str, Whole]
    fleets: dict[str, Fleet]
    mature_since: Whole
    ever_mature_h: Whole
    killed_h: Whole
    freeze_told: bool = False
    usable_h: float = 0.0
    notes: list[str] = field(default_factory=list)

    @property
    def hours_needed(self) -> list[float]:
        """Rig time of each field [h]."""
        settings = self.config.settings
        rate = fleet_rate(settings.rigs)
        return [rig_hours(one.acres, rate, settings.dispatch.setup_h) for one in self.config.fields]


def begin(
    config: FarmConfig, mornings: Sequence[Morning], watched: Sequence[Watched], seed: int
) -> RecordedSeason:
    start = whole_hour(mornings[0].now)
    count, rigs = len(config.fields), len(config.settings.rigs)
    hours = round((whole_hour(mornings[-1].now) - start) / timedelta(hours=1)) + TAIL_H
    weather = SeasonWeather.empty(count, start, hours)
    for one in mornings:
        weather.tell(one.fetched.forecast, [one.fetched.row_of[each.id] for each in config.fields])
    weather.close(config.fields, watched)
    rules = (OURS, *RULES_OF_OTHERS)
    return RecordedSeason(
        config=config,
        weather=weather,
        lot=np.random.default_rng([seed, 4]).uniform(size=count),
        rigs_at_work=rigs,
        sprayed_h={one: np.full(count, -1, dtype=np.int64) for one in rules},
        fleets={one: Fleet(rigs) for one in rules},
        mature_since=np.full(count, -1, dtype=np.int64),
        ever_mature_h=np.full(count, hours, dtype=np.int64),
        killed_h=_killed_h(config, weather),
    )


def _killed_h(config: FarmConfig, weather: SeasonWeather) -> Whole:
    """First hour of a killing freeze at each field, the number of hours where none comes."""
    cold = np.array([[one.cold_spot_f] for one in config.fields])
    line = np.array([[config.rules[one.id].gates.killing_f] for one in config.fields])
    killed = weather.temp_f - cold <= line
    return np.where(killed.any(axis=1), killed.argmax(axis=1), killed.shape[1]).astype(np.int64)
