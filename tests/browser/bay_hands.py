"""What people do at a tablet: enroll it, sign in, choose a PIN, work; and switch it off."""

import contextlib
import os
import re
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, expect
from playwright.sync_api import Error as PlaywrightError

from fleet.operations import tablets
from fleet.records.models import Person, Tablet
from tests import people
from tests.operations.conftest import House

PIN = "482915"
OTHER_PIN = "730264"
Device = Callable[..., Page]


def enroll(page: Page, house: House, name: str = "Bay 1") -> Tablet:
    """By the code that a manager reads out."""
    made = tablets.make_code(house.manager, name, house.yard.pk, at=house.now)
    page.goto("/bay/")
    page.get_by_label("Code").fill(f"{made.code[:5]} {made.code[5:].lower()}")
    page.get_by_role("button", name="Enroll this tablet").click()
    heading(page, "First time on this tablet")
    return Tablet.objects.get(name=name)


def first_time(page: Page, person: Person, pin: str = PIN) -> None:
    """With name and password, then a PIN typed twice."""
    page.get_by_label("Sign-in name").fill(person.username)
    page.get_by_label("Password").fill(people.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    heading(page, "Choose a PIN")
    type_pin(page, pin)
    heading(page, "The same PIN once more")
    type_pin(page, pin)
    heading(page, "Work of")


def open_by_pin(page: Page, person: Person, pin: str = PIN) -> None:
    """From the list of those who are known on the tablet."""
    heading(page, "Who is at the tablet?")
    page.get_by_role("link", name=person.name).click()
    heading(page, f"PIN of {person.name}")
    type_pin(page, pin)


def type_pin(page: Page, pin: str) -> None:
    """On the pad's keys, as with gloves on."""
    pad = page.locator(".bay-pad").last
    for digit in pin:
        pad.get_by_role("button", name=digit, exact=True).click()
    pad.get_by_role("button").last.click()


def heading(page: Page, text: str) -> None:
    """The view that stands begins so."""
    expect(page.get_by_role("heading", level=1)).to_have_text(re.compile(f"^{re.escape(text)}"))


def to(page: Page, *parts: str) -> None:
    """To a place of the page, as a link would."""
    page.evaluate("hash => { location.hash = hash; }", "#/" + "/".join(parts))


# No round is under way, and none is about to begin.
QUIET = """async () => {
  const { app } = await import(document.querySelector('script[type="module"]').src);
  return !app.desk.sync.busy && app.desk.sync.due > Date.now() + 1000;
}"""


def talk(page: Page) -> None:
    """Have it talk with the server, by hand, and wait until it has."""
    to(page, "status")
    heading(page, "What is on this tablet")
    page.get_by_role("button", name="Talk with the server now").click()
    page.wait_for_function(QUIET)
    expect(page.locator("#state")).not_to_contain_text("Talking")


def sent(page: Page) -> None:
    """Nothing waits any more."""
    expect(page.locator("#state")).to_contain_text("Nothing waits to be sent.")


DO = """async ([verb, bodies]) => {
  const { app } = await import(document.querySelector('script[type="module"]').src);
  const made = [];
  for (const body of bodies) made.push((await app.desk.do(verb, body)).uid);
  return made;
}"""


def do(page: Page, verb: str, *bodies: Any) -> list[str]:
    """What a view asks of the desk; uids of what was kept."""
    made: list[str] = page.evaluate(DO, [verb, list(bodies)])
    return made


def statuses(page: Page) -> dict[str, str]:
    """How each operation stands on the tablet, by uid."""
    found: dict[str, str] = page.evaluate("""async () => {
      const { app } = await import(document.querySelector('script[type="module"]').src);
      return Object.fromEntries(app.desk.operations.map(op => [op.uid, op.status]));
    }""")
    return found


def kill(context: BrowserContext | None, home: Path) -> None:
    """As a battery that falls out does: no farewell, nothing put in order."""
    for pid in _browsers(home):
        os.kill(pid, signal.SIGKILL)
    with contextlib.suppress(PlaywrightError):
        if context is not None:
            context.pages[0].wait_for_timeout(2_000)


def _browsers(home: Path) -> Iterator[int]:
    """The browser of this profile, without the processes that it started itself."""
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        with contextlib.suppress(OSError):
            said = (entry / "cmdline").read_bytes().decode(errors="replace").split("\0")
            if f"--user-data-dir={home}" in said and not any(s.startswith("--type=") for s in said):
                yield int(entry.name)
