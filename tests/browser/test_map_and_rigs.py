"""The map and the lanes of rigs in a real browser: they draw, lead on, and do without scripts."""

import base64
import shutil
from pathlib import Path
from typing import Any

import pytest

from scripts.running_board import board_of
from tests.browser.conftest import DESK, PHONE

#: Where fields of the map stand on the screen [px], told by the drawing itself.
WHERE = """(id) => {
  const view = [...Bokeh.index.roots][0];
  const drawn = view.model.renderers.find((one) => one.data_source?.data?.id);
  const data = drawn.data_source.data;
  const at = [...data.id].indexOf(id);
  const middle = (all) => (Math.min(...all) + Math.max(...all)) / 2;
  const box = view.el.getBoundingClientRect();
  return {
    x: box.left + view.frame.x_scale.compute(middle([...data.xs[at]])),
    y: box.top + view.frame.y_scale.compute(middle([...data.ys[at]])),
  };
}"""
#: How many kinds of pixels a canvas holds.
HUES = """(canvas) => {
  const pen = canvas.getContext("2d");
  const {data} = pen.getImageData(0, 0, canvas.width, canvas.height);
  const found = new Set();
  for (let at = 0; at < data.length; at += 4) {
    if (data[at + 3] === 255) found.add(`${data[at]},${data[at + 1]},${data[at + 2]}`);
  }
  return [...found];
}"""
DEEP_LIGHT, DEEP_DARK = "51,46,120", "201,197,243"
#: One white pixel.
PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mP8/x8AAwMCAO+ip1sAAAAASUVORK5CYII="
)
TILES = "https://tiles.example.org/{z}/{x}/{y}.png"


def _drawn(page: Any) -> list[str]:
    canvas = page.locator("#map canvas").first
    canvas.wait_for()
    page.locator("#map-still").wait_for(state="hidden")
    page.wait_for_timeout(300)
    hues: list[str] = canvas.evaluate(HUES)
    return hues


def test_the_map_draws_and_its_still_drawing_gives_way(page):
    page.goto("/map")
    assert DEEP_LIGHT in _drawn(page)


def test_the_map_is_drawn_in_hues_of_the_dark_page(new_page):
    page = new_page(color_scheme="dark")
    page.goto("/map")
    hues = _drawn(page)
    assert DEEP_DARK in hues
    assert DEEP_LIGHT not in hues


def test_a_field_pressed_on_the_map_leads_to_its_page(page):
    page.goto("/map?rigs=none")
    _drawn(page)
    at = page.evaluate(WHERE, "creek-bottom")
    page.mouse.click(at["x"], at["y"])
    page.wait_for_url("**/fields/creek-bottom")
    assert "Creek Bottom" in page.get_by_role("heading", level=1).inner_text()


def test_without_scripts_the_map_stands_still_and_its_fields_lead_on(new_page):
    page = new_page(java_script_enabled=False)
    page.goto("/map")
    still = page.locator("#map-still svg.still")
    assert still.is_visible()
    assert still.locator("polygon").count() == 30
    still.get_by_role("link", name="Creek Bottom").click()
    page.wait_for_url("**/fields/creek-bottom")


@pytest.mark.parametrize("size", [DESK, PHONE])
@pytest.mark.parametrize("path", ["/map", "/rigs", "/after"])
def test_nothing_is_wider_than_the_screen(new_page, path, size):
    page = new_page(viewport=size)
    page.goto(path)
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= size["width"]


def test_every_lane_has_its_spray_where_the_axis_has_its_hour(page):
    page.goto("/rigs")
    lanes = page.locator(".lane")
    assert lanes.count() > 0
    for track in page.locator("svg.track-of").all():
        box = track.locator(".t-full").first.bounding_box()
        around = track.bounding_box()
        assert box["width"] > 3
        assert around["x"] - 1 <= box["x"] <= box["x"] + box["width"]
        assert box["x"] + box["width"] <= around["x"] + around["width"] + 1


def test_a_stop_is_reported_on_by_the_keyboard_alone(page):
    page.goto("/rigs")
    report = page.locator("details.deeds").first
    assert not report.get_by_role("button", name="Sprayed").is_visible()
    report.locator("summary").focus()
    page.keyboard.press("Enter")
    for _ in range(3):
        page.keyboard.press("Tab")
    # When, who, and then the button; a time has fields of its own inside.
    for _ in range(4):
        if page.evaluate("document.activeElement.tagName") == "BUTTON":
            break
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "Sprayed"


def test_targets_of_the_rigs_are_large_enough_for_a_thumb(phone):
    phone.goto("/rigs")
    phone.locator("details.deeds summary").first.click()
    targets = "main button:visible, main summary, main .choices a, details[open] input:visible"
    for target in phone.locator(targets).all():
        assert target.bounding_box()["height"] >= 44


def test_tiles_come_from_the_host_that_was_set_and_are_credited(browser, demo_copy):
    config = demo_copy / "farm.toml"
    text = f'\n[board]\ntiles = "{TILES}"\ntiles_credit = "Tiles of <nobody>"\n'
    config.write_text(config.read_text("utf-8") + text, "utf-8")
    asked, refused = [], []

    def tile(route: Any) -> None:
        asked.append(route.request.url)
        headers = {"access-control-allow-origin": "*"}
        route.fulfill(body=PIXEL, content_type="image/png", headers=headers)

    with board_of(config) as running:
        context = browser.new_context(base_url=running.address)
        page = context.new_page()
        page.on("console", lambda said: refused.append(said.text) if said.type == "error" else None)
        page.route("https://tiles.example.org/**", tile)
        page.goto(running.link)
        page.get_by_role("button", name="Open the board").click()
        page.goto("/map")
        _drawn(page)
        assert page.get_by_text("Base map: Tiles of <nobody>").is_visible()
        page.evaluate("new Image().src = 'https://elsewhere.example.net/a.png'")
        page.wait_for_timeout(300)
        context.close()
    assert asked
    assert any("image 'https://elsewhere.example.net/" in one for one in refused)
    assert not any("image 'https://tiles.example.org/" in one for one in refused)


@pytest.fixture
def demo_copy(demo, tmp_path):
    """A farm of its own, to be changed."""
    return Path(shutil.copytree(demo, tmp_path / "farm"))
