"""A morning with spray calls over a good sky, for plans of rigs."""

import sys
from datetime import timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from rig_farms import rig
from skies import NOW, TREATMENT, cotton, morning, sky, visit

from dispatch.report import MorningReport
from dispatch.routes.called import Since
from dispatch.routes.fleet import Fleet
from dispatch.routes.settings import RouteSettings
from farm.rig import Rig


def good_morning(count: int = 3) -> MorningReport:
    """Every field mature under one good sky: all are called."""
    fields = [cotton(number, acres=60 + 10 * number) for number in range(1, count + 1)]
    cooling = sky(highs_f=(86, 84, 80, 76, 72, 70, 68, 66, 64))
    return morning(cooling, fields, [visit(one.id) for one in fields])


def fleet(*rigs: Rig, **settings: Any) -> Fleet:
    """Rigs with a nurse truck each, where none is told."""
    own = rigs or (rig(tank_gal=1000, refill_min=20),)
    mixes = {"mix": TREATMENT.model_copy(update={"gallons_per_acre": 10.0})}
    return Fleet(tuple(own), mixes, RouteSettings(**settings))


def since(hours_h: float = 0.0, **changed: Any) -> Since:
    """So many hours after the morning."""
    return Since(NOW + timedelta(hours=hours_h), 12.0, **changed)
