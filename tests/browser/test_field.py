"""The page of a field in a real browser: drawn, on a phone too, and without scripts."""

import pytest

PLOTS = ("hours-plot", "course-plot")


def test_both_plots_come_to_life(page):
    page.goto("/fields/windmill")
    for name in PLOTS:
        page.wait_for_function(
            "id => document.getElementById(id).querySelector('.bk-Column') !== null", arg=name
        )


@pytest.mark.parametrize("field_id", ["windmill", "low-ford", "dugout", "bell-mare"])
def test_a_phone_shows_it_without_scrolling_sideways(phone, field_id):
    phone.goto(f"/fields/{field_id}")
    phone.wait_for_timeout(500)
    wide = phone.evaluate("document.documentElement.scrollWidth")
    assert wide <= 360


def test_without_scripts_the_days_and_every_figure_are_there(new_page):
    page = new_page(java_script_enabled=False)
    page.goto("/fields/windmill")
    assert page.get_by_role("figure").count() == 9
    first = page.get_by_role("figure").first.get_by_role("img").get_attribute("aria-label")
    assert "today 10 am-4 pm: full window" in first
    page.get_by_text("Every hour as a table").click()
    assert page.get_by_role("rowheader", name="today 10 am").first.is_visible()


def test_a_visit_is_taken_back_by_keyboard(new_page):
    page = new_page()
    page.goto("/fields/ridge")
    page.get_by_role("link", name="Undo").first.focus()
    page.keyboard.press("Enter")
    page.get_by_label("Why, for who reads it later").fill("entered twice")
    page.get_by_role("button", name="Take it back").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**/fields/ridge#records")
    assert page.get_by_text("entered twice").is_visible()
