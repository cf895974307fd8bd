"""The rules in force for one field, after regions and single fields had their say."""

from dataclasses import dataclass

from agronomy.thresholds import MaturityRules, SprayGates
from dispatch.policy import Climate
from farm.treatment import Treatment


@dataclass(frozen=True)
class FieldRules:
    """Gates, maturity rules, treatment and climate of one field."""

    gates: SprayGates
    maturity: MaturityRules
    treatment: Treatment
    climate: Climate
