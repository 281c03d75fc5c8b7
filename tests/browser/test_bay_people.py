"""Who may open a tablet: PINs and their five tries, the lost tablet, the newer page."""

import pytest
from playwright.sync_api import Page, expect

from fleet.operations import tablets
from fleet.records.models import Tablet, TabletOperation
from fleet.web import bay_shell
from tests import people
from tests.browser.bay_hands import (
    OTHER_PIN,
    PIN,
    do,
    enroll,
    first_time,
    heading,
    open_by_pin,
    sent,
    talk,
    to,
    type_pin,
)
from tests.browser.conftest import Visit
from tests.operations.conftest import House

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

WRONG = "915372"
ELEVEN_MINUTES = 11 * 60_000


@pytest.fixture
def page(visit: Visit, house: House) -> Page:
    """A tablet that the technician has just opened for the first time."""
    page = visit()
    enroll(page, house)
    first_time(page, house.technician.person)
    return page


def lock(page: Page) -> None:
    page.get_by_role("button", name="Lock").first.click()
    heading(page, "Who is at the tablet?")


def test_a_code_that_does_not_stand_says_so_and_keeps_what_was_typed(
    visit: Visit, house: House
) -> None:
    page = visit()
    page.goto("/bay/")
    code = page.get_by_label("Code")
    code.fill("ABC")
    page.get_by_role("button", name="Enroll this tablet").click()
    expect(page.locator(".field-error")).to_contain_text("10 letters and digits")
    code.fill("ABCDE23456")
    page.get_by_role("button", name="Enroll this tablet").click()
    expect(page.get_by_role("alert")).to_contain_text("Ask a manager for a new one")
    expect(code).to_have_value("ABCDE23456")


def test_a_wrong_password_is_said_and_nobody_gets_in(visit: Visit, house: House) -> None:
    page = visit()
    enroll(page, house)
    page.get_by_label("Sign-in name").fill(house.technician.person.username)
    page.get_by_label("Password").fill("not this")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("alert")).to_contain_text("No such sign-in name, or another password.")


def test_a_pin_that_anybody_would_try_is_not_taken(visit: Visit, house: House) -> None:
    page = visit()
    enroll(page, house)
    page.get_by_label("Sign-in name").fill(house.technician.person.username)
    page.get_by_label("Password").fill(people.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    heading(page, "Choose a PIN")
    error = page.locator(".bay-pad .field-error")
    type_pin(page, "123")
    expect(error).to_contain_text("at least 6 digits")
    type_pin(page, "456")
    expect(error).to_contain_text("try that first")
    type_pin(page, PIN)
    heading(page, "The same PIN once more")
    type_pin(page, OTHER_PIN)
    expect(error).to_contain_text("The two were not the same.")


def test_five_wrong_pins_drop_the_keys_and_keep_what_was_recorded(page: Page, house: House) -> None:
    who, unit = house.technician.person, house.vehicle.unit_number
    page.route("**/api/v1/tablet/sync/", lambda route: route.abort())
    do(page, "record_meter", {"vehicle": unit, "reading": "48,020"})
    lock(page)
    page.get_by_role("link", name=who.name).click()
    for left in ("4 tries are left", "3 tries", "2 tries", "1 try is left"):
        type_pin(page, WRONG)
        expect(page.locator(".bay-pad .field-error")).to_contain_text(left)
        # Switching off between two tries gives none back.
        page.reload()
        heading(page, f"PIN of {who.name}")
    type_pin(page, WRONG)
    expect(page.locator(".bay-pad .field-error")).to_contain_text("keys of this person are gone")
    page.unroute("**/api/v1/tablet/sync/")
    page.get_by_role("link", name="Sign in").click()
    first_time(page, who, OTHER_PIN)
    talk(page)
    sent(page)
    assert TabletOperation.objects.get().state == "accepted"


def test_a_right_pin_gives_the_tries_back(page: Page, house: House) -> None:
    who = house.technician.person
    for _round in range(2):
        lock(page)
        page.get_by_role("link", name=who.name).click()
        type_pin(page, WRONG)
        expect(page.locator(".bay-pad .field-error")).to_contain_text("4 tries are left")
        type_pin(page, PIN)
        heading(page, "Work of")


def test_two_people_share_a_tablet_each_with_a_pin_of_their_own(page: Page, house: House) -> None:
    unit = house.vehicle.unit_number
    do(page, "record_meter", {"vehicle": unit, "reading": "48,020"})
    lock(page)
    page.get_by_role("link", name="Somebody else").click()
    first_time(page, house.colleague.person, OTHER_PIN)
    do(page, "record_meter", {"vehicle": unit, "reading": "48,030"})
    talk(page)
    sent(page)
    made = TabletOperation.objects.order_by("n")
    by = [(row.person, row.state) for row in made]
    assert by == [(house.technician.person, "accepted"), (house.colleague.person, "accepted")]
    lock(page)
    open_by_pin(page, house.technician.person, OTHER_PIN)
    expect(page.locator(".bay-pad .field-error")).to_contain_text("That is not the PIN.")


def test_the_tablet_locks_by_itself_and_comes_back_to_the_same_place(
    visit: Visit, house: House
) -> None:
    page = visit()
    page.clock.install()
    enroll(page, house)
    first_time(page, house.technician.person)
    to(page, "vehicle", house.vehicle.unit_number, "hold")
    page.get_by_label("Why must it not go out?").fill("Clunk at the Pi")
    page.clock.run_for(ELEVEN_MINUTES)
    open_by_pin(page, house.technician.person)
    expect(page.get_by_label("Why must it not go out?")).to_have_value("Clunk at the Pi")


def test_a_revoked_tablet_hands_over_what_it_holds_and_shows_no_fleet(
    page: Page, house: House
) -> None:
    unit = house.vehicle.unit_number
    talk(page)
    tablets.revoke_tablet(house.manager, Tablet.objects.get().pk, "left on a bumper", at=house.now)
    do(page, "record_meter", {"vehicle": unit, "reading": "48,020"})
    talk(page)
    expect(page.locator("#state")).to_contain_text("This tablet was revoked.")
    expect(page.get_by_role("main")).to_contain_text("With a manager")
    assert TabletOperation.objects.get().state == "quarantined"
    to(page)
    expect(page.get_by_role("heading", level=1)).to_contain_text("Nothing is on this tablet yet")
    expect(page.get_by_role("main")).not_to_contain_text(unit)


def test_a_newer_page_waits_until_it_is_taken_and_never_comes_in_the_middle_of_something(
    page: Page, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    to(page, "vehicle", house.vehicle.unit_number, "hold")
    heading(page, "Hold vehicle")
    monkeypatch.setattr(bay_shell, "build", lambda: "newer")
    page.evaluate("navigator.serviceWorker.getRegistration().then(r => r.update())")
    page.wait_for_function("() => navigator.serviceWorker.getRegistration().then(r => !!r.waiting)")
    expect(page.get_by_text("A newer page is ready.")).to_have_count(0)
    to(page)
    offered = page.locator("#newer")
    expect(offered).to_contain_text("A newer page is ready.")
    assert page.evaluate("document.documentElement.dataset.build") != "newer"
    offered.get_by_role("button", name="Take it").click()
    page.wait_for_function("() => document.documentElement.dataset.build === 'newer'")
    heading(page, "Who is at the tablet?")


def test_a_persons_language_is_theirs_on_the_tablet(page: Page, house: House) -> None:
    to(page, "settings")
    page.get_by_role("button", name="Español").click()
    heading(page, "Sus ajustes en esta tableta")
    page.get_by_role("button", name="Bloquear").first.click()
    heading(page, "¿Quién está en la tableta?")
    page.reload()
    heading(page, "Who is at the tablet?")
    page.get_by_role("link", name=house.technician.person.name).click()
    type_pin(page, PIN)
    heading(page, "Trabajo de")
