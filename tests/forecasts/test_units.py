import pytest

from forecasts.units import to_house


@pytest.mark.parametrize(
    ("kind", "unit", "foreign", "house"),
    [
        ("temp_f", "wmoUnit:degC", -40.0, -40.0),
        ("temp_f", "unit:degC", 100.0, 212.0),
        ("temp_f", "wmoUnit:degF", 28.0, 28.0),
        ("speed_mph", "wmoUnit:km_h-1", 160.9344, 100.0),
        ("speed_mph", "wmoUnit:m_s-1", 44.704, 100.0),
        ("speed_mph", "kt", 100.0, 115.0779448),
        ("speed_mph", "mph", 7.0, 7.0),
        ("rain_in", "wmoUnit:mm", 25.4, 1.0),
        ("rain_in", "in", 0.5, 0.5),
        ("rain_in", "wmoUnit:m", 0.0254, 1.0),
        ("share_pct", "wmoUnit:percent", 40.0, 40.0),
        ("angle_deg", "wmoUnit:degree_(angle)", 270.0, 270.0),
        ("length_ft", "wmoUnit:m", 304.8, 1000.0),
    ],
)
def test_foreign_units_become_the_house_unit(kind, unit, foreign, house):
    factor, offset = to_house(kind, unit)
    assert foreign * factor + offset == pytest.approx(house, abs=1e-6)


@pytest.mark.parametrize("unit", ["wmoUnit:furlong", "degc", "wmoUnit:mm", "C"])
def test_a_unit_not_in_the_table_is_refused(unit):
    with pytest.raises(ValueError, match="is not known"):
        to_house("temp_f", unit)


@pytest.mark.parametrize("unit", [None, ""])
def test_a_missing_unit_is_refused(unit):
    with pytest.raises(ValueError, match="the unit is missing"):
        to_house("temp_f", unit)
