from dataclasses import replace
from datetime import timedelta

from farm.grid_cell import GridCell
from forecasts.memory import MemoryInProcess
from forecasts.nws_forecast import read_forecast
from tests.forecasts.answers import NOW, gridpoint

CELL = read_forecast(gridpoint(), now=NOW)
OLDER = replace(CELL, issued_utc=CELL.issued_utc - timedelta(hours=1))
AGELESS = replace(CELL, issued_utc=None)


def test_a_newer_issue_takes_the_place_of_an_older_one():
    memory = MemoryInProcess()

    assert memory.keep(OLDER)
    assert memory.keep(CELL)
    assert memory.latest("nws:XYZ/12,34") is CELL


def test_an_older_equal_or_ageless_issue_is_not_kept_over_a_newer_one():
    memory = MemoryInProcess()
    memory.keep(CELL)

    assert not memory.keep(OLDER)
    assert not memory.keep(replace(CELL))
    assert not memory.keep(AGELESS)
    assert memory.latest("nws:XYZ/12,34") is CELL


def test_a_place_remembers_its_cell_until_told_to_forget():
    memory = MemoryInProcess()
    cell = GridCell(id="nws:XYZ/12,34", resolved_utc=NOW)
    memory.keep_grid_cell(34.75, -101.75, cell)

    assert memory.grid_cell(34.750001, -101.75) is cell
    assert memory.grid_cell(34.76, -101.75) is None
    memory.forget_grid_cell(34.75, -101.75)
    memory.forget_grid_cell(34.75, -101.75)
    assert memory.grid_cell(34.75, -101.75) is None
    assert memory.latest("nws:nowhere") is None
