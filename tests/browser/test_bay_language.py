"""The words of the tablet page: those of the languages spoken there are there with no network."""

import pytest
from playwright.sync_api import expect

from fleet.web import bay_shell
from tests.browser.bay_hands import heading, open_by_pin, to
from tests.browser.bay_taps import tablet
from tests.browser.conftest import Visit
from tests.browser.hands import press
from tests.operations.conftest import House
from tests.support.wire import Wire

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

KEPT = """async () => {
  const names = (await caches.keys()).filter(name => name.startsWith("bay-"));
  const found = await Promise.all(names.map(async name => (await caches.open(name)).keys()));
  const paths = found.flat().map(one => new URL(one.url).pathname);
  return paths.filter(path => path.startsWith("/bay/words/"));
}"""
ENGLISH, SPANISH = "/bay/words/en.json", "/bay/words/es.json"


def test_another_language_comes_when_it_is_first_spoken_and_stays(
    house: House, visit: Visit, wire: Wire
) -> None:
    page = tablet(house, visit, wire)
    assert page.evaluate(KEPT) == [ENGLISH]
    to(page, "settings")
    press(page, "Español")
    expect(page.get_by_role("alert")).to_contain_text("in Español are not on this tablet yet")
    heading(page, "Your settings on this tablet")
    wire.mend()
    press(page, "Español")
    heading(page, "Sus ajustes en esta tableta")
    wire.cut()
    page.reload()
    open_by_pin(page, house.technician.person)
    heading(page, "Sus ajustes en esta tableta")
    assert sorted(page.evaluate(KEPT)) == [ENGLISH, SPANISH]


def test_a_newer_page_brings_the_words_that_were_spoken_here(
    house: House, visit: Visit, wire: Wire, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = tablet(house, visit, wire)
    wire.mend()
    to(page, "settings")
    press(page, "Español")
    heading(page, "Sus ajustes en esta tableta")
    monkeypatch.setattr(bay_shell, "build", lambda: "newer")
    page.evaluate("async () => (await navigator.serviceWorker.getRegistration('/bay/')).update()")
    expect(page.get_by_role("button", name="Tomarla")).to_be_visible()
    assert sorted(page.evaluate(KEPT)) == [ENGLISH, ENGLISH, SPANISH, SPANISH]
    kept = page.evaluate(
        "async () => (await (await caches.open('bay-newer')).match('/bay/')).text()"
    )
    assert 'data-build="newer"' in kept
