"""The figures of a farm's own errors of forecast lows, as a morning counted with them."""

from datetime import date

from dispatch.field_figures import Figure


class OwnErrorLead(Figure):
    """Spread and bias of one lead day [F], by default and as counted; ``weight_frac`` is the own
    share. ``held`` marks figures kept at the farthest a blend may lie from the default.
    """

    lead_days: int
    nights: int
    weight_frac: float
    default_bias_f: float
    bias_f: float
    default_sd_f: float
    sd_f: float
    dof: float
    held: bool = False


class OwnErrorFigures(Figure):
    """The kept errors of ``source``, and whether the morning counted with them.

    ``why_not`` says why they were not used, "" where they were; ``chosen`` marks that as the
    user's own setting. ``leads`` are those with enough nights, empty where they were not used.
    """

    source: str = ""
    kept_on: date | None = None
    last_on: date | None = None
    why_not: str = ""
    chosen: bool = False
    leads: tuple[OwnErrorLead, ...] = ()

    @property
    def used(self) -> bool:
        """Whether the odds of the morning count with them."""
        return not self.why_not and bool(self.leads)
