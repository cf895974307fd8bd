"""The shapes a morning is handed out in."""

import csv
import io
import json

import pytest

from scheduler.outputs import rank_rows, report_csv, report_json, safe_cell, without_nan

#: The names other programs read; fixed by the design.
FIXED = {
    "field_id",
    "rank",
    "call",
    "effect_pct",
    "back_of_line_pct",
    "cost_pct",
    "reasons",
    "windows",
    "spray_by_utc",
    "freeze",
    "rain_free_h",
    "heat_units_7d_f_days",
    "rig_hours",
    "maturity",
    "forecast",
}
FIXED_INSIDE = {
    "freeze": {"first_utc", "lead_days", "chance_7d_pct", "known_through_utc"},
    "maturity": {
        "state",
        "nodes_above_cracked_boll",
        "percent_open",
        "visit_age_days",
        "ready_on",
    },
    "forecast": {"source", "issued_utc", "age_h"},
}


def strict(text: str):
    def refuse(name: str):
        raise AssertionError(f"{name} is no JSON")

    return json.loads(text, parse_constant=refuse)


def test_the_json_has_its_fixed_names(report):
    told = strict(report_json(report))
    assert set(told) == {"run", "fields"}
    assert told["run"]["queue_days"] == 5
    assert [one["field_id"] for one in told["fields"]] == ["NA", "007", "home"]
    for one in told["fields"]:
        assert set(one) >= FIXED
        for name, inside in FIXED_INSIDE.items():
            assert set(one[name]) >= inside
    (window,) = told["fields"][1]["windows"]
    assert (window["start_utc"], window["end_utc"], window["effect_pct"]) == (
        "2026-10-06T15:00:00Z",
        "2026-10-06T22:00:00Z",
        91.4,
    )


def test_what_is_not_known_is_null_and_never_nan(report):
    first = strict(report_json(report))["fields"][0]
    assert first["effect_pct"] is None
    assert first["rank"] is None
    assert first["spray_by_utc"] is None


def test_numbers_that_are_not_finite_become_null_however_deep():
    assert without_nan({"a": [1.5, float("nan"), {"b": float("inf")}]}) == {
        "a": [1.5, None, {"b": None}]
    }


def test_the_csv_keeps_ids_as_text_and_leaves_the_unknown_empty(report):
    rows = list(csv.DictReader(io.StringIO(report_csv(report))))
    assert [row["field_id"] for row in rows] == ["NA", "007", "home"]
    assert [row["rank"] for row in rows] == ["", "1", ""]
    assert [row["call"] for row in rows] == ["unknown", "spray", "sprayed"]
    assert rows[0]["effect_pct"] == ""
    assert rows[1]["effect_pct"] == "91.4"
    assert rows[1]["spray_by_local"] == "2026-10-08T14:00-05:00"
    assert "nan" not in report_csv(report).casefold()


def test_a_name_that_looks_like_a_formula_is_not_run_by_a_spreadsheet(report):
    rows = list(csv.DictReader(io.StringIO(report_csv(report))))
    assert rows[0]["name"] == "'=Cottonwood"


@pytest.mark.parametrize(
    ("value", "wanted"),
    [
        ("=1+1", "'=1+1"),
        ("@a", "'@a"),
        ("\tb", "'\tb"),
        ("-3", "'-3"),
        (-3.0, "-3"),
        (None, ""),
        ("plain", "plain"),
    ],
)
def test_only_texts_are_guarded_and_numbers_stay_numbers(value, wanted):
    assert safe_cell(value) == wanted


def test_rows_to_read_say_why_there_is_no_call(report):
    rows = rank_rows(report)
    assert rows[0][1:3] == ("UNKNOWN", "=Cottonwood")
    assert rows[0][-1] == "no forecast since Sun 5 pm, so no call"
    assert rows[1][:7] == ("1", "SPRAY", "North Draw", "118", "91", "63", "Thu 2 pm")
    assert rows[2][1] == "sprayed"
