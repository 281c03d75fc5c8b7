"""Figures read back, and a joint foretold, while they are typed, in a real browser."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from fleet.records.models import Inspection
from tests.browser.conftest import Visit
from tests.browser.hands import sign_in
from tests.operations.conftest import House, make_house

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite


@pytest.fixture
def house(transactional_db: None, clock: Any) -> House:
    return make_house()


def test_play_is_told_what_it_will_do_as_it_is_typed_and_nothing_jumps(
    house: House, visit: Visit, clock: Any
) -> None:
    page = sign_in(visit(viewport={"width": 390, "height": 844}), "technician")
    page.goto("/vehicles/A-101/inspect/")
    look = page.locator(f"#j{house.joint('tie_rod_end', 'left').pk}")
    look.get_by_label("Play", exact=True).check()
    told = look.locator(".foretold")
    expect(told).to_contain_text("Recorded so, it holds the vehicle.")
    play = look.get_by_label("Play, measured")
    before = _top(page, look.get_by_label("Note"))
    play.press_sequentially("1/8")
    expect(told).to_contain_text("Understood as 1/8 in, 3.2 mm.")
    expect(told).to_contain_text("Line 1/4 in, 49 CFR 570.7(b).")
    expect(told).to_contain_text("Recorded so, it goes on the ticket.")
    assert abs(_top(page, look.get_by_label("Note")) - before) < 60
    play.fill("5/16")
    expect(told).to_contain_text("Recorded so, it holds the vehicle.")
    look.get_by_label("Tight", exact=True).check()
    look.get_by_label("Wrench set to or read").fill("125")
    expect(told).to_contain_text("Say which torque tool.")
    # What decides for the whole sheet is asked again for what was told before.
    page.get_by_label("Torque tool", exact=True).select_option(str(house.tool.pk))
    expect(told).not_to_contain_text("Say which torque tool.")
    assert not Inspection.objects.exists()


def _top(page: Page, field: Any) -> float:
    return float(field.evaluate("field => field.getBoundingClientRect().top + window.scrollY"))


def test_a_figure_is_read_back_beside_its_field(house: House, visit: Visit, clock: Any) -> None:
    page = sign_in(visit(), "manager")
    page.goto("/specs/new/")
    low = page.locator(".field", has=page.get_by_label("Figure, or its low side"))
    low.get_by_role("textbox").fill("125")
    expect(low.locator("[aria-live]")).to_have_text("Understood as 125 lbf·ft, 169.5 N·m.")
    low.get_by_role("textbox").fill("465/16")
    expect(low.locator("[aria-live]")).to_contain_text("Type it like this: 85 lbf·ft")
    low.get_by_role("textbox").fill("")
    expect(low.locator("[aria-live]")).to_be_empty()
