"""The form of a visit: what it holds, and what its script must know to work without signal."""

import json
from functools import cache

from pydantic import BaseModel, ConfigDict
from pydantic import Field as Bounded

from agronomy.count_statistics import LEAST_NODE_SD, PLANTS_MOST, NodeCount, mean_interval
from dispatch.count_figures import how_many_more
from farm.visit_counts import MATURE_STAGE

#: Longest text of a column [letters]: a thousand plants, each as "12.5 ".
TEXT_MOST = 6_000
#: Longest photo [letters of base64].
PHOTO_MOST = 2_100_000

#: What is known of the 12 stages of a cut boll (S29b); the pictures tell the rest.
STAGE_WORDS = {
    6: "no jelly",
    8: "faint colour",
    9: "hard to cut",
    MATURE_STAGE: "mature",
    12: "cracked",
}
STAGES = tuple(range(1, 13))
#: Buttons for the nodes of one plant; more are typed.
NODES = tuple(range(13))


class VisitForm(BaseModel):
    """The columns of a scouting sheet as texts, as `Scouting.add` takes them."""

    model_config = ConfigDict(extra="forbid")

    field_id: str = Bounded(default="", max_length=64)
    observed: str = Bounded(default="", max_length=40)
    scout: str = Bounded(default="", max_length=80)
    plants_counted: str = Bounded(default="", max_length=12)
    nodes_above_cracked_boll: str = Bounded(default="", max_length=12)
    percent_open: str = Bounded(default="", max_length=12)
    bolls_cut: str = Bounded(default="", max_length=12)
    bolls_cut_mature: str = Bounded(default="", max_length=12)
    vegetative_bolls_cut: str = Bounded(default="", max_length=12)
    vegetative_bolls_mature: str = Bounded(default="", max_length=12)
    plant_nodes: str = Bounded(default="", max_length=TEXT_MOST)
    cut_stages: str = Bounded(default="", max_length=TEXT_MOST)
    bolls_open: str = Bounded(default="", max_length=12)
    bolls_closed: str = Bounded(default="", max_length=12)
    plants_per_ft: str = Bounded(default="", max_length=12)
    fruiting_gap: str = Bounded(default="", max_length=5)
    leaf_drop_pct: str = Bounded(default="", max_length=12)
    windshield: str = Bounded(default="", max_length=5)
    note: str = Bounded(default="", max_length=2_000)
    uuid: str = Bounded(default="", max_length=40)


class PlainForm(VisitForm):
    """A visit from a browser without scripts."""

    form_key: str = ""

    def texts(self) -> dict[str, str]:
        """The columns."""
        return self.model_dump(exclude={"form_key"})


class SentVisit(VisitForm):
    """A visit from a phone; ``photo`` is a picture in base64."""

    photo: str = Bounded(default="", max_length=PHOTO_MOST)

    def texts(self) -> dict[str, str]:
        """The columns."""
        return self.model_dump(exclude={"photo"})


@cache
def counting_words() -> str:
    """What the script needs to tell how many plants more to count, as JSON.

    ``half_widths`` are half the width of the interval of the mean by the number of plants, from
    2 on, in spreads between plants.
    """
    middle = 1_000.0
    half_widths = [
        round(mean_interval(NodeCount(middle, 1.0, plants))[1] - middle, 6)
        for plants in range(2, PLANTS_MOST + 1)
    ]
    words = {
        "enough": how_many_more(0),
        "one": how_many_more(1),
        "many": how_many_more(2).replace("2", "{n}"),
        "never": how_many_more(None),
    }
    told = {"half_widths": half_widths, "least_sd": LEAST_NODE_SD, "words": words}
    return json.dumps(told | {"mature_stage": MATURE_STAGE})
