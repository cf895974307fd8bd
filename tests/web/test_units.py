"""Figures in the reader's units."""

from dataclasses import replace

import pytest

from web.units import shown, turned, unit


@pytest.mark.parametrize(
    ("value", "kind", "us", "metric"),
    [
        pytest.param(32.0, "temp", "32F", "0C", id="water freezes"),
        pytest.param(31.98, "temp", "32F", "0C", id="no minus zero"),
        pytest.param(28.0, "temp", "28F", "-2.2C", id="28 F is -2.22 C"),
        pytest.param(-40.0, "temp", "-40F", "-40C", id="both scales meet"),
        pytest.param(95.0, "temp", "95F", "35C", id="95 F is 35 C"),
        pytest.param(10.0, "speed", "10 mph", "16 km/h", id="1 mi is 1.609344 km"),
        pytest.param(0.2, "rain", "0.20 in", "5.1 mm", id="1 in is 25.4 mm"),
        pytest.param(160.0, "area", "160 ac", "65 ha", id="a quarter section is 64.75 ha"),
        pytest.param(26.2, "distance", "26 mi", "42 km", id="a marathon"),
    ],
)
def test_a_figure_is_shown_in_the_readers_units(value, kind, us, metric):
    assert (shown(value, kind, "us"), shown(value, kind, "metric")) == (us, metric)


def test_what_is_not_known_is_said_to_be_so_in_either():
    assert {shown(None, "temp", "us"), shown(None, "rain", "metric")} == {"?"}


def test_plots_turn_figures_without_rounding():
    assert turned(50.0, "temp", "metric") == pytest.approx(10.0)
    assert turned(7.3, "speed", "us") == 7.3
    assert unit("speed", "metric") == "km/h"


def test_the_order_tells_acres_or_hectares_as_the_farm_is_set(app, client_as):
    """Windmill Quarter of the demo has 156 acres, 63 hectares."""
    client = client_as("dispatcher")
    assert "156 ac, 3 rig-h" in client.get("/").text
    desk = app.state.desk
    app.state.desk = replace(desk, farm=replace(desk.farm, units="metric"))
    assert "63 ha, 3 rig-h" in client.get("/").text
