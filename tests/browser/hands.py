"""What people do with their hands: sign in, fill in a form by its labels, send it."""

import re
from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests import people

Part = Page | Locator


def sign_in(page: Page, name: str) -> Page:
    """From whatever page sends one to the sign-in page."""
    page.goto("/")
    page.get_by_label("Sign-in name").fill(name)
    page.get_by_label("Password").fill(people.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    signed_in(page)
    return page


def signed_in(page: Page) -> None:
    """On a narrow screen signing out is behind the button that opens the screens."""
    expect(page.get_by_role("button", name=re.compile("Sign out|Screens")).first).to_be_visible()


def fill_in(part: Part, typed: dict[str, Any]) -> None:
    """By label: True ticks a box; a word chooses where there is a choice, else it is typed."""
    for label, said in typed.items():
        choice = part.get_by_role("group", name=label, exact=True)
        if said is True:
            part.get_by_role("checkbox", name=label).check()
        elif choice.count():
            choice.get_by_label(said, exact=True).check()
        else:
            _write(field(part, label), said)


def field(part: Part, label: str) -> Locator:
    """The one input of exactly this label; a unit in brackets may stand behind it."""
    return part.get_by_label(re.compile(rf"^{re.escape(label)}( \(.+\))?$"))


def _write(control: Locator, said: str) -> None:
    if control.evaluate("control => control.tagName") == "SELECT":
        # A tool's option goes on to say whether its readings are believed today.
        option = control.locator("option").filter(has_text=re.compile(rf"^{re.escape(said)}"))
        control.select_option(value=option.first.get_attribute("value"))
    else:
        control.fill(said)


def press(page: Page, button: str) -> None:
    page.get_by_role("button", name=button, exact=True).click()


def follow(page: Part, link: str) -> None:
    page.get_by_role("link", name=link, exact=True).first.click()


def shows(page: Page, *texts: str) -> None:
    for text in texts:
        expect(page.get_by_role("main")).to_contain_text(text)


def heading(page: Page, text: str) -> None:
    """The page that is open is the one of this name."""
    expect(page.get_by_role("heading", level=1)).to_contain_text(text)
