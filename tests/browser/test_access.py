"""Everybody can use the board: rules of access, and the keyboard alone."""

import json

import pytest
from axe_playwright_python.sync_playwright import Axe

from scheduler.commands import run as warmspell
from tests.browser.main_pages import MAIN_PAGES

#: WCAG 2.2 AA and what it stands on.
RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
}
SIZES = {"desk": (1200, 900), "phone": (360, 740)}


def broken_rules(page) -> list[str]:
    """Rules that the page breaks, with the first place of each."""
    found = Axe().run(page, options=RULES).response["violations"]
    return [
        f"{one['id']}: {one['help']}: {one['nodes'][0]['html'][:160]}"
        f" {one['nodes'][0].get('failureSummary', '')[:200]}"
        for one in found
    ]


@pytest.mark.parametrize("name", list(MAIN_PAGES))
def test_a_page_keeps_the_rules_of_access(page, name):
    """By day and by night, at a desk and on a phone."""
    page.goto(MAIN_PAGES[name])
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{size}: {wide} px wide, to be scrolled sideways"
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            assert broken_rules(page) == [], (size, scheme)


@pytest.mark.parametrize("name", list(MAIN_PAGES))
def test_every_target_of_a_phone_is_large_enough_for_a_finger(phone, name):
    """44 px for what is pressed; links within a sentence are left out, as WCAG 2.5.8 does."""
    phone.goto(MAIN_PAGES[name])
    small = phone.evaluate(
        """() => [...document.querySelectorAll(
             "button, select, summary, input:not([type=hidden]), nav a")]
           .filter(one => one.offsetParent !== null)
           .map(one => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
           .filter(([_, box]) => box.height < 43.5 || box.width < 43.5)
           .map(([html, box]) => `${html} ${box.width}x${box.height}`)"""
    )
    assert small == []


def focused(page) -> str:
    told: str = page.evaluate("(document.activeElement.textContent || '').trim()")
    return told


def tab_to(page, words: str, most: int = 60) -> None:
    """Press Tab until what has these words is reached, and see that one sees where one is."""
    for _ in range(most):
        page.keyboard.press("Tab")
        outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert outline != "none", focused(page)
        if focused(page) == words:
            return
    pytest.fail(f"{words}: not reached by Tab")


def test_one_can_walk_the_board_by_the_keyboard_alone(page):
    page.goto("/")
    page.keyboard.press("Tab")
    assert focused(page) == "To the content"
    page.keyboard.press("Enter")
    assert page.url.endswith("#main")
    tab_to(page, "Creek Bottom")
    page.keyboard.press("Enter")
    page.wait_for_url("**/fields/creek-bottom")
    assert page.get_by_role("heading", level=1).inner_text().startswith("Creek Bottom")
    page.go_back()
    assert page.get_by_role("link", name="Creek Bottom").first.is_visible()
    page.goto("/")
    tab_to(page, "Map")
    page.keyboard.press("Enter")
    page.wait_for_url("**/map")


def test_the_order_on_the_page_is_that_of_the_command_line(page, demo, capsys):
    assert warmspell(["rank", "--config", str(demo / "farm.toml"), "--json"]) in (0, 3)
    told = json.loads(capsys.readouterr().out)
    ranked = sorted(
        (one["rank"], one["field_id"]) for one in told["fields"] if one["rank"] is not None
    )
    assert len(ranked) > 5
    page.goto("/")
    shown = page.eval_on_selector_all(
        "section.of-spray li.field",
        """rows => rows.map(row => [Number(row.querySelector('.place').textContent),
             decodeURIComponent(row.querySelector('a.name').getAttribute('href').slice(8))])""",
    )
    assert [tuple(one) for one in shown] == ranked


def test_the_map_draws(page):
    page.goto("/map")
    page.wait_for_selector("#map canvas", state="attached")
    page.wait_for_timeout(500)
    painted = page.evaluate(
        """() => {
          const colours = new Set();
          const inside = [...document.querySelectorAll('#map *')];
          const all = inside.flatMap(one => one.shadowRoot ? all_below(one.shadowRoot) : []);
          function all_below(root) {
            const found = [...root.querySelectorAll('*')];
            return found.flatMap(
              one => [one, ...(one.shadowRoot ? all_below(one.shadowRoot) : [])]);
          }
          for (const canvas of [...inside, ...all].filter(one => one.tagName === 'CANVAS')) {
            if (!canvas.width || !canvas.height) continue;
            const dots = canvas.getContext('2d')
              .getImageData(0, 0, canvas.width, canvas.height).data;
            for (let at = 0; at < dots.length; at += 40)
              colours.add(`${dots[at]},${dots[at + 1]},${dots[at + 2]},${dots[at + 3]}`);
          }
          return colours.size;
        }"""
    )
    assert painted > 4


def test_nothing_is_asked_of_anybody_else(new_page, board):
    """No library, font or picture from elsewhere."""
    page, elsewhere = new_page(), []
    page.on(
        "request",
        lambda asked: (
            elsewhere.append(asked.url)
            if not asked.url.startswith((board.address, "data:", "blob:"))
            else None
        ),
    )
    for path in MAIN_PAGES.values():
        page.goto(path)
    assert elsewhere == []


def test_the_pages_are_of_use_without_scripts(new_page):
    page = new_page(java_script_enabled=False)
    for path in MAIN_PAGES.values():
        answer = page.goto(path)
        assert answer.status == 200, path
        assert len(page.locator("main").inner_text()) > 60, path
