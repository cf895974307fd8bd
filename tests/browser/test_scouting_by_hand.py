"""The form of a visit with keys alone, with a photo, and its sums held to the server's."""

import io
from pathlib import Path
from typing import Any

from PIL import Image

from agronomy.count_statistics import node_count, plants_to_be_sure
from dispatch.count_figures import how_many_more
from scheduler.opening import open_farm

#: Counts of plants that lie near a limit of 4 nodes and far from it, alike and unlike.
COUNTS = [
    [middle + away for away in spread for _ in range(times)]
    for middle in (2, 3, 3.5, 4, 4.5, 6)
    for spread in ((0, 0), (0, 0.5), (-1, 1), (-2, 0, 2), (-1.5, 0, 0, 3))
    for times in (1, 3, 12)
]


def field_id(demo: Path, name: str) -> str:
    with open_farm(demo / "farm.toml") as farm:
        return next(one.id for one in farm.config.fields if one.name == name)


def test_the_phone_tells_how_many_plants_more_as_the_server_does(phone, demo):
    phone.goto(f"/scout/{field_id(demo, 'Mesquite')}")
    told = phone.evaluate(
        """(counts) => {
            const counting = JSON.parse(document.getElementById("visit").dataset.counting);
            return counts.map((nodes) => scoutCount.moreWords(nodes, 4, counting));
        }""",
        COUNTS,
    )
    wanted = [how_many_more(plants_to_be_sure(node_count(nodes), 4.0)) for nodes in COUNTS]
    assert told == wanted
    assert len(set(wanted)) > 5


def tab_to(page: Any, name: str, presses: int = 80) -> None:
    """Press Tab until something called so has the focus."""
    for _ in range(presses):
        page.keyboard.press("Tab")
        told = page.evaluate(
            """() => { const at = document.activeElement; return at.getAttribute("aria-label")
            || (at.labels && at.labels[0] && at.labels[0].innerText) || at.innerText || "" }"""
        )
        if told.strip() == name:
            return
    raise AssertionError(f"{name!r} was not reached by Tab")


def test_a_visit_is_made_and_sent_by_keys_alone(page, demo):
    page.goto(f"/scout/{field_id(demo, 'Cistern')}")
    tab_to(page, "4")
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    tab_to(page, "Next")
    page.keyboard.press("Enter")
    tab_to(page, "Open")
    page.keyboard.press("Enter")
    tab_to(page, "Next")
    page.keyboard.press("Enter")
    tab_to(page, "Stage 11, mature")
    page.keyboard.press("Enter")
    tab_to(page, "Next")
    page.keyboard.press("Enter")
    tab_to(page, "Next")
    page.keyboard.press("Enter")
    assert "2 plants, 1 boll, 1 cut" in page.locator("#summing-up").inner_text()
    tab_to(page, "Send the visit")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Sent and kept").wait_for()
    assert page.evaluate("document.activeElement.id") == "done"


def test_a_photo_is_made_smaller_and_goes_with_its_visit(page, demo):
    field = field_id(demo, "Cistern")
    page.goto(f"/scout/{field}#step-more")
    file = io.BytesIO()
    Image.effect_noise((3_000, 2_000), 60).convert("RGB").save(file, "JPEG", quality=95)
    photo = {"name": "field.jpg", "mimeType": "image/jpeg", "buffer": file.getvalue()}
    page.get_by_label("Photo, if it helps").set_input_files(photo)
    page.get_by_text("Goes with the visit").wait_for()
    page.get_by_label("Leaves off after a spray").fill("80")
    page.get_by_role("button", name="Send", exact=True).click()
    page.get_by_role("button", name="Send the visit").click()
    page.get_by_role("heading", name="Sent and kept").wait_for()
    uuid = page.evaluate("scoutQueue.all().then((visits) => visits[0].uuid)")
    answer = page.request.get(f"/photos/{field}/{uuid}")
    with Image.open(io.BytesIO(answer.body())) as kept:
        assert kept.size == (1_600, 1_067)


def test_every_target_of_the_form_is_for_gloves(phone, demo):
    phone.goto(f"/scout/{field_id(demo, 'Mesquite')}")
    assert phone.evaluate("document.documentElement.scrollWidth") <= 360
    for part in ("Nodes", "Bolls", "Cut", "More", "Send"):
        phone.locator("#steps").get_by_role("button", name=part, exact=True).click()
        small = phone.evaluate(
            """() => [...document.querySelectorAll("#visit button, #visit input, #visit summary")]
            .map((at) => [at, at.type === "checkbox" ? at.parentElement : at])
            .map(([at, box]) => [at, box.getBoundingClientRect()])
            .filter(([, box]) => box.height && (box.height < 48 || box.width < 44))
            .map(([at]) => at.outerHTML)"""
        )
        assert small == []
