"""Spanish words are longer by a quarter: every page still fits a small phone, and bars nobody."""

from typing import Any

import pytest

from tests import people
from tests.addresses import addresses
from tests.browser.conftest import Visit
from tests.browser.test_accessible import WIDER, violations
from tests.web.rows import Fleet

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

# Addresses that answer with part of a page or with a file.
NO_PAGE = ("inspection_foretell", "understood", "bring_in_sample", "photo")


@pytest.fixture
def pages(transactional_db: None, clock: Any) -> dict[str, str]:
    """Every page of a small fleet in which one vehicle has it all; its manager reads Spanish."""
    fleet = Fleet(people.speaks(people.manager(), "es"), 3)
    return {
        name: path
        for name, path in addresses(fleet.vehicle).items()
        if not path.startswith("/api/") and name not in NO_PAGE
    }


def test_no_page_scrolls_sideways_in_spanish(pages: dict[str, str], visit: Visit) -> None:
    page = visit(viewport={"width": 320, "height": 640})
    page.goto("/accounts/login/")
    page.get_by_role("button", name="Español").click()
    beyond = {"sign-in": page.evaluate(WIDER)}
    wrong = {"sign-in": violations(page)}
    page.get_by_label("Nombre de usuario").fill("manager")
    page.get_by_label("Contraseña").fill(people.PASSWORD)
    page.get_by_role("button", name="Iniciar sesión").click()
    page.locator("form[action='/accounts/logout/']").wait_for(state="attached")
    for name, path in pages.items():
        page.goto(path)
        beyond[name] = page.evaluate(WIDER)
    wrong["the last page"] = violations(page)
    assert {name: wider for name, wider in beyond.items() if wider > 0} == {}
    assert {name: found for name, found in wrong.items() if found} == {}
