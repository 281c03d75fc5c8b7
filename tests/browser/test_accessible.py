"""Every main screen under axe (WCAG 2.2 A and AA rules), and at the width of a small phone."""

from collections.abc import Iterable
from typing import Any

import pytest
from playwright.sync_api import Page

from fleet.records.models import (
    Complaint,
    FileRequest,
    IntervalProposal,
    Pattern,
    PlanRun,
    Recheck,
    Sweep,
)
from fleet.records.models import Visit as Planned
from tests import people
from tests.browser.conftest import Visit
from tests.browser.hands import sign_in
from tests.support.chromium import AXE
from tests.web.rows import Fleet

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LOOK = """async tags => (await axe.run(document, {runOnly: tags})).violations.flatMap(
  found => found.nodes.map(node => `${found.id}: ${node.target.join(" ")}`))"""
TOE = "found_rear_1=46+5/16&found_front_1=46+1/4&span=29&spec_low=0&spec_high=1/8"
WIDER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture
def screens(transactional_db: None, clock: Any) -> dict[str, str]:
    """A small fleet in which one vehicle has it all, and the addresses of its screens."""
    fleet = Fleet(people.manager(), 3)
    unit = f"/vehicles/{fleet.vehicle.unit_number}/"
    ticket = f"/tickets/{fleet.ticket.pk}/"
    return {
        "yard": "/",
        "vehicles": "/vehicles/",
        "vehicle": unit,
        "joint": f"{unit}joints/{fleet.joints[0].pk}/",
        "fitting": f"{unit}joints/{fleet.joints[0].pk}/fitting/",
        "files": "/files/",
        "file request": f"/files/{FileRequest.objects.latest('pk').pk}/",
        "inspection sheet": f"{unit}inspect/",
        "complaint": f"{unit}complaint/",
        "order of looking": f"/complaints/{Complaint.objects.earliest('pk').pk}/",
        "meter": f"{unit}meter/",
        "ticket": ticket,
        "line": f"{ticket}lines/{fleet.ticket.lines.all()[0].pk}/",
        "close": f"{ticket}close/",
        "move to the yard": f"{unit}move/",
        "self re-check": f"{ticket}leave/",
        "due": "/due/",
        "plan": f"/plan/at/{fleet.yards[0].slug}/",
        "what the plan stands on": f"/plan/at/{fleet.yards[0].slug}/stands-on/",
        "hours": f"/plan/at/{fleet.yards[0].slug}/hours/",
        "a visit moved": f"/plan/visits/{Planned.objects.latest('pk').pk}/move/",
        "a plan proposed": f"/plan/runs/{PlanRun.objects.latest('pk').pk}/",
        "patterns": "/patterns/",
        **{f"pattern, {row.kind}": f"/patterns/{row.uid}/" for row in _one_of_each_kind()},
        "specs": "/specs/",
        "rules": "/specs/rules/",
        "a rule": "/specs/rules/ladder/track_bar/",
        "a rule changed": "/specs/rules/ladder/track_bar/change/",
        "exceptions": f"{unit}exceptions/",
        "put off": f"/due/{Recheck.objects.filter(state='owed').latest('pk').pk}/put-off/",
        "intervals": "/specs/intervals/",
        "an interval": f"/specs/intervals/{IntervalProposal.objects.latest('pk').uid}/",
        "what intervals shall keep": "/specs/intervals/aims/",
        "sweeps": "/sweeps/",
        "a sweep": f"/sweeps/{Sweep.objects.latest('pk').uid}/",
        "a new sweep": "/sweeps/new/?of=lot",
        "trail": "/trail/",
        "tickets": "/tickets/",
        "bring in": "/import/",
        "settings": "/settings/",
        "a torque figure": "/specs/new/",
        "nothing there": "/nothing/",
        "reports": "/reports/",
        "reports, wrong": "/reports/?vehicle=nowhere",
        "life by part": "/reports/parts/",
        "fleet state": "/reports/fleet/",
        "kept on time": "/reports/kept/",
        "record": f"{unit}record/",
        "record of a past day": f"{unit}record/?until=2026-11-20&section=torques",
        "reckoner": "/reckoner/",
        "reckoner, answered": f"/reckoner/?calculator=toe&ask=1&{TOE}",
        "reckoner, wrong": "/reckoner/?calculator=clamp-load&thread=M7&low=x&ask=1",
    }


def _one_of_each_kind() -> Iterable[Pattern]:
    return {row.kind: row for row in Pattern.objects.all()}.values()


@pytest.mark.parametrize(("width", "scheme"), [(390, "light"), (1280, "dark")])
def test_no_screen_bars_anybody(
    screens: dict[str, str], visit: Visit, width: int, scheme: str
) -> None:
    page = visit(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page.goto("/accounts/login/")
    wrong = {"sign-in": violations(page)}
    sign_in(page, "manager")
    for name, address in screens.items():
        page.goto(address)
        wrong[name] = violations(page)
    if page.get_by_role("button", name="Screens").is_visible():
        page.goto("/")
        page.get_by_role("button", name="Screens").click()
        wrong["the screens to choose from"] = violations(page)
    assert {name: found for name, found in wrong.items() if found} == {}


def violations(page: Page) -> Any:
    # Through the debugger, which the page's own policy does not bind.
    page.evaluate(AXE.read_text())
    return page.evaluate(LOOK, TAGS)


def test_no_screen_scrolls_sideways_on_a_small_phone(screens: dict[str, str], visit: Visit) -> None:
    page = visit(viewport={"width": 320, "height": 640})
    page.goto("/accounts/login/")
    beyond = {"sign-in": page.evaluate(WIDER)}
    sign_in(page, "manager")
    for name, address in screens.items():
        page.goto(address)
        beyond[name] = page.evaluate(WIDER)
    assert {name: wider for name, wider in beyond.items() if wider > 0} == {}
