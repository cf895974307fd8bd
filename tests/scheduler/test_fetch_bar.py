"""The bar a person sees while forecasts are fetched."""

import io

import pytest

from scheduler.fetch_bar import fetch_bar


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_the_bar_moves_to_its_end_and_ends_its_line():
    terminal = Terminal()
    with fetch_bar(terminal) as move:
        for done in (0, 3, 6):
            move(done, 6)

    last = terminal.getvalue().split("\r")[-1]
    assert "forecasts" in last
    assert "6/6" in last
    assert terminal.getvalue().endswith("\n")


def test_a_log_holds_no_bar():
    log = io.StringIO()
    with fetch_bar(log) as move:
        assert move is None

    assert log.getvalue() == ""


def test_a_fault_while_fetching_leaves_the_cursor_on_a_line_of_its_own():
    terminal = Terminal()

    def interrupted() -> None:
        with fetch_bar(terminal) as move:
            move(1, 6)
            raise OSError("gone")

    with pytest.raises(OSError, match="gone"):
        interrupted()
    assert terminal.getvalue().endswith("\n")


def test_nothing_to_fetch_draws_nothing():
    terminal = Terminal()
    with fetch_bar(terminal):
        pass

    assert terminal.getvalue() == ""
