"""Scores of forecasts as JSON: names and nesting are fixed, what is not known is null."""

import json
from dataclasses import asdict
from typing import Any

from agronomy.forecast_scores import OddsScores
from scheduler.outputs import without_nan
from scheduler.promised_windows import Promise, WindowScores
from scheduler.verified import ERRORS_MIN, ODDS_MIN, LeadErrors, LeadOdds, SourceScores, Verified
from scheduler.verified_words import policy_lines


def verified_json(told: Verified) -> str:
    """Everything ``verify`` tells, as JSON text."""
    shown = {
        "observed": [
            {"words": one.words, "field_id": one.field.id, "cells": sorted(one.cells)}
            for one in told.places
        ],
        "mornings": told.mornings,
        "mornings_unread": told.unread,
        "sources": [_source(one) for one in told.sources],
        "windows": _windows(told.windows),
    }
    return json.dumps(without_nan(shown), indent=2, ensure_ascii=False, allow_nan=False)


def _source(one: SourceScores) -> dict[str, Any]:
    return {
        "source": one.source,
        "issues": one.issues,
        "first_on": one.first_on and one.first_on.isoformat(),
        "last_on": one.last_on and one.last_on.isoformat(),
        "lows": [_errors(lead, "f") for lead in one.lows],
        "highs": [_errors(lead, "f") for lead in one.highs],
        "wind": [_errors(lead, "mph") for lead in one.wind],
        "freeze_odds": {
            "nights": [_odds(lead) for lead in one.freeze],
            "seven_nights": _odds(one.freeze_week),
        },
        "rain_odds": {"days": [_odds(lead) for lead in one.rain]},
        "low_errors": [asdict(lead) for lead in one.low_errors],
        "farm_toml": list(policy_lines(one.low_errors)),
        "own_low_errors": one.own_errors and one.own_errors.model_dump(mode="json"),
    }


def _errors(lead: LeadErrors, unit: str) -> dict[str, Any]:
    scores = lead.scores
    return {
        "lead_days": lead.lead_days,
        "nights": lead.nights,
        "n": scores.n,
        "left_out": scores.left_out,
        "enough": lead.nights >= ERRORS_MIN,
        f"bias_{unit}": scores.bias,
        f"mae_{unit}": scores.mae,
        f"rmse_{unit}": scores.rmse,
    }


def _odds(lead: LeadOdds) -> dict[str, Any]:
    scores = lead.scores
    return {
        "lead_days": lead.lead_days,
        "nights": lead.nights,
        "n": scores.n,
        "left_out": scores.left_out,
        "enough": lead.nights >= ODDS_MIN,
        "brier": scores.brier,
        "base_rate_pct": 100 * scores.base_rate_frac,
        "base_rate_brier": scores.base_rate_brier,
        "reliability": _bins(scores) if lead.lead_days is None else [],
    }


def _bins(scores: OddsScores) -> list[dict[str, Any]]:
    table = scores.reliability
    return [
        {
            "from_pct": round(100 * float(table.from_frac[place])),
            "to_pct": round(100 * float(table.to_frac[place])),
            "n": int(n),
            "enough": bool(n >= ERRORS_MIN),
            "told_pct": 100 * float(table.told_frac[place]),
            "came_pct": 100 * float(table.came_frac[place]),
            "came_low_pct": 100 * float(table.low_frac[place]),
            "came_high_pct": 100 * float(table.high_frac[place]),
        }
        for place, n in enumerate(table.n)
        if n
    ]


def _promise(one: Promise) -> dict[str, Any]:
    return {**asdict(one), "enough": one.mornings >= ERRORS_MIN}


def _windows(told: WindowScores) -> dict[str, Any]:
    return {
        "windows": told.windows,
        "no_freeze": _promise(told.nights),
        "rain_free": _promise(told.dry),
    }
