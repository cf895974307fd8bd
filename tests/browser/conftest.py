"""The board as a server of its own over the demo's farm, and a real browser that is in.

``board`` is where it answers; ``page`` is a page of a browser that went in by the one-time link.
Whatever the browser complains about in its console fails the test. Without a browser (named by
CHROMIUM, or /usr/bin/chromium) these tests skip, and say so.
"""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from scheduler.demo_morning import demo_morning
from scripts.running_board import Board, board_of

playwright_api: Any = pytest.importorskip("playwright.sync_api", reason="no playwright here")

USUAL_BROWSER = "/usr/bin/chromium"
#: A desk, and a phone held upright [px].
DESK, PHONE = {"width": 1200, "height": 900}, {"width": 360, "height": 740}


@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    """Chromium, once for all tests of this folder: its driver holds an event loop meanwhile."""
    path = os.environ.get("CHROMIUM", USUAL_BROWSER)
    if not Path(path).exists():
        pytest.skip(f"no browser: CHROMIUM is not set and there is no {USUAL_BROWSER}")
    with playwright_api.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="package")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the demo's farm after its morning; tests that change it say so."""
    folder = tmp_path_factory.mktemp("board") / "farm"
    demo_morning(folder)
    return folder


@pytest.fixture(scope="package")
def board(demo: Path) -> Iterator[Board]:
    """`warmspell serve` as a process of its own, and somebody who is in."""
    with board_of(demo / "farm.toml") as running:
        yield running


@pytest.fixture(scope="package")
def way_in(browser: Any, board: Board) -> list[dict[str, Any]]:
    """Cookies of the one person the link let in."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(board.link)
    page.get_by_role("button", name="Open the board").click()
    page.wait_for_url(f"{board.address}/")
    cookies: list[dict[str, Any]] = context.cookies()
    context.close()
    return cookies


@pytest.fixture
def complaints() -> list[str]:
    """What the browser complained about; a test that wants some clears it."""
    return []


@pytest.fixture
def new_page(
    browser: Any, board: Board, way_in: list[dict[str, Any]], complaints: list[str]
) -> Iterator[Callable[..., Any]]:
    """Makes pages that are in; takes what a browser's context takes, such as ``viewport``."""
    contexts: list[Any] = []

    def make(**context_settings: Any) -> Any:
        settings = {"viewport": DESK, "base_url": board.address, **context_settings}
        context = browser.new_context(**settings)
        contexts.append(context)
        context.add_cookies(way_in)
        page = context.new_page()
        page.on("console", lambda said: _heard(complaints, said))
        page.on("pageerror", lambda fault: complaints.append(f"{page.url}: {fault}"))
        return page

    yield make
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def page(new_page: Callable[..., Any]) -> Any:
    """A page of a desk's size."""
    return new_page()


@pytest.fixture
def phone(new_page: Callable[..., Any]) -> Any:
    """A page of a phone's size, touched by fingers."""
    return new_page(viewport=PHONE, has_touch=True, is_mobile=True)


def _heard(complaints: list[str], said: Any) -> None:
    if said.type in ("error", "warning"):
        complaints.append(f"{said.location.get('url', '')}: {said.text}")
