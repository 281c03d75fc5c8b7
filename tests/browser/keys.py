"""What people do with the keyboard alone: the hands of `hands.py`, without a pointer."""

from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.browser import hands

MOST_TABS = 600
# Between two presses of Tab nothing is asked of the browser: the whole way is made inside it.
IS_FOCUSED = "wanted => document.activeElement === wanted"


def tab_to(page: Page, wanted: Locator) -> None:
    """Go on from where the focus is, as a hand on the Tab key does; past the end it begins anew."""
    expect(wanted).to_be_visible()
    target = wanted.element_handle()
    for _tab in range(MOST_TABS):
        if page.evaluate(IS_FOCUSED, target):
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"{wanted} is not reached with Tab")


def enter(page: Page, wanted: Locator) -> None:
    """Go to it and press Enter, which opens another page."""
    tab_to(page, wanted)
    with page.expect_navigation():
        page.keyboard.press("Enter")


def follow(page: Page, link: str) -> None:
    enter(page, page.get_by_role("link", name=link, exact=True).first)


def press(page: Page, button: str) -> None:
    enter(page, page.get_by_role("button", name=button, exact=True))


def fill_in(page: Page, typed: dict[str, Any]) -> None:
    """By label, as hands.fill_in does it."""
    for label, said in typed.items():
        choice = page.get_by_role("group", name=label, exact=True)
        if said is True:
            tick(page, page.get_by_role("checkbox", name=label))
        elif choice.count():
            choose(page, choice, said)
        else:
            write(page, hands.field(page, label), said)


def tick(page: Page, box: Locator) -> None:
    tab_to(page, box)
    if not box.is_checked():
        page.keyboard.press("Space")
    expect(box).to_be_checked()


def choose(page: Page, part: Locator, wanted: str) -> None:
    """In a group of its own: from what is chosen now, or from its beginning."""
    radios, chosen = part.get_by_role("radio"), part.get_by_role("radio", checked=True)
    start = chosen.first if chosen.count() else radios.first
    along(page, start, part.get_by_label(wanted, exact=True), radios.count())


def along(page: Page, start: Locator, wanted: Locator, most: int = 20) -> None:
    """Tab to where a choice begins, then along it with the arrow keys."""
    tab_to(page, start)
    page.keyboard.press("Space")
    for _step in range(most):
        if wanted.is_checked():
            return
        page.keyboard.press("ArrowRight")
    raise AssertionError(f"{wanted} is not reached with the arrow keys")


def write(page: Page, control: Locator, said: str) -> None:
    tab_to(page, control)
    if control.evaluate("control => control.tagName") == "SELECT":
        page.keyboard.type(said)
        return
    page.keyboard.press("Control+a")
    page.keyboard.type(said)
