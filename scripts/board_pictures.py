"""Pictures of the board's main pages, from the demo, for docs/board/.

    CHROMIUM=/usr/bin/chromium python -m scripts.board_pictures [--to docs/board]

Writes the invented farm into a folder of its own, opens its board, and draws each page as a
browser shows it. Run it again after a page has changed on purpose, and look at what it drew.
"""

import argparse
import os
import shutil
import tempfile
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from scheduler.demo_morning import demo_morning
from scripts.running_board import board_of

FOLDER = Path(__file__).parent.parent / "docs" / "board"
#: Shades of one hue that a picture is drawn with; more are not told apart.
SHADES = 48


@dataclass(frozen=True)
class Picture:
    """One picture: a page, how wide and how high at most it is drawn [px], by day or by night."""

    name: str
    path: str
    width: int = 1200
    height: int = 1500
    scheme: str = "light"
    #: What is pressed first, if it is there.
    press: str = ""


PICTURES = (
    Picture("order", "/"),
    Picture("field", "/fields/creek-bottom"),
    Picture("map", "/map", height=1000),
    Picture("rigs", "/rigs", press="Plan the rigs now"),
    Picture("scout-phone", "/scout/creek-bottom", width=360, height=740),
    Picture("order-dark", "/", scheme="dark"),
)


def main() -> None:
    """Draw all of them."""
    told = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    told.add_argument("--to", type=Path, default=FOLDER)
    to: Path = told.parse_args().to
    to.mkdir(parents=True, exist_ok=True)
    farm = Path(tempfile.mkdtemp(prefix="warmspell-pictures-"))
    try:
        demo_morning(farm / "farm")
        with board_of(farm / "farm" / "farm.toml") as board, sync_playwright() as driver:
            path = os.environ.get("CHROMIUM", "/usr/bin/chromium")
            browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
            context = browser.new_context(base_url=board.address)
            page = context.new_page()
            page.goto(board.link)
            page.get_by_role("button", name="Open the board").click()
            page.wait_for_url(f"{board.address}/")
            for one in PICTURES:
                file = to / f"{one.name}.png"
                file.write_bytes(small(drawn(page, one)))
                print(f"{file}: {file.stat().st_size / 1000:.0f} kB")
            browser.close()
    finally:
        shutil.rmtree(farm)


def drawn(page: Any, one: Picture) -> bytes:
    """The page as the browser shows it, from its top down to the height asked for."""
    page.set_viewport_size({"width": one.width, "height": one.height})
    page.emulate_media(color_scheme=one.scheme)
    page.goto(one.path)
    if one.press and page.get_by_role("button", name=one.press).count():
        page.get_by_role("button", name=one.press).first.click()
        page.wait_for_load_state()
    # Plots draw themselves once their data is read.
    page.wait_for_timeout(1_500)
    whole: int = page.evaluate("document.documentElement.scrollHeight")
    cut = {"x": 0, "y": 0, "width": one.width, "height": min(whole, one.height)}
    picture: bytes = page.screenshot(clip=cut, full_page=True)
    return picture


def small(picture: bytes) -> bytes:
    """The same with few shades, which is enough for one hue."""
    with Image.open(BytesIO(picture)) as opened:
        few = opened.convert("RGB").quantize(SHADES, dither=Image.Dither.NONE)
    out = BytesIO()
    few.save(out, "PNG", optimize=True)
    return out.getvalue()


if __name__ == "__main__":
    main()
