"""The board in a real browser: one gets in once, and sees the order."""

from scripts.running_board import board_by


def test_the_link_lets_one_browser_in_and_then_no_other(browser, board, way_in):
    assert way_in
    page = browser.new_context().new_page()
    answer = page.goto(board.link)
    assert answer.status == 404
    assert page.get_by_role("heading", level=1).inner_text() == "This link was used already"
    page.context.close()


def test_the_order_of_the_demo_is_shown(page):
    page.goto("/")
    assert page.get_by_role("link", name="Creek Bottom").is_visible()


def test_the_demo_opens_its_board(browser, tmp_path):
    with board_by("demo", "--out", str(tmp_path / "farm"), "--serve") as running:
        page = browser.new_context().new_page()
        page.goto(running.link)
        page.get_by_role("button", name="Open the board").click()
        assert page.get_by_role("heading", level=1).inner_text() == "Tue 6 Oct"
        page.context.close()
