"""The front-end drawing on the pages: what a mark says, where it leads, what is left out."""

import re
from datetime import timedelta
from typing import Any

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import Joint, Person, Recheck, Yard
from tests import build
from tests.build import NOW
from tests.web.conftest import Get


def marks(page: Any, frame: str = "whole") -> dict[str, str]:
    """By address, what the marks of one frame say; of marks that lead nowhere too."""
    found = re.search(rf'<svg class="front front--{frame}".*?</svg>', page.text, re.DOTALL)
    assert found is not None
    items = re.findall(
        r'role="listitem"><(?:a href="([^"]*)"|g)[^>]*><title>(.*?)</title>', found[0]
    )
    return dict(items)


def test_a_mark_tells_state_age_and_next_recheck_and_opens_its_joint(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    bar = build.joint(truck)
    build.finding(bar, manager, "moved", at=NOW - timedelta(days=23))
    on = NOW.date() + timedelta(days=5)
    owed = Recheck.objects.create(
        vehicle=truck, joint=bar, kind="retorque", ladder="track_bar", started_at=NOW,
        due_on=on, falls_on=on,
    )  # fmt: skip
    build.state(bar, due_recheck=owed)
    said = marks(get(manager, "/vehicles/AB-1/"))
    assert len(said) == truck.joints.count()
    words = said[f"/vehicles/AB-1/joints/{bar.pk}/"]
    assert words.startswith(f"{bar}: moved under the wrench")
    assert "Looked at 23 days ago." in words
    assert "Next recheck" in words


def test_what_is_not_fitted_has_no_mark(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-1")
    gone = build.joint(truck)
    Joint.objects.filter(pk=gone.pk).update(fitted=Joint.Fitted.NOT_FITTED)
    assert f"/vehicles/AB-1/joints/{gone.pk}/" not in marks(get(manager, "/vehicles/AB-1/"))


def test_a_joints_page_marks_it_alone(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-1")
    bar = build.joint(truck)
    page = get(manager, f"/vehicles/AB-1/joints/{bar.pk}/")
    (words,) = marks(page, "small").values()
    assert words.startswith(str(bar))
    assert '<path class="dots"' in page.text


def test_a_ticket_marks_the_joints_of_its_lines_and_leads_to_the_first_line_of_each(
    get: Get, manager: Person, alder: Yard
) -> None:
    ticket = build.ticket(build.vehicle(alder, "AB-1"), manager)
    assert "front-figure" not in get(manager, f"/tickets/{ticket.pk}/").text
    load_reference(server_actor("command"), at=NOW)
    bar = build.joint(ticket.vehicle)
    first = build.line(ticket, bar)
    build.line(ticket, bar, action="replace_track_bar")
    page = get(manager, f"/tickets/{ticket.pk}/")
    assert list(marks(page, "small")) == [f"#line-{first.pk}"]


def test_on_the_sheet_a_mark_leads_to_the_joints_fields(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    page = get(manager, "/vehicles/AB-1/inspect/")
    assert sorted(marks(page)) == sorted(f"#j{joint.pk}" for joint in truck.joints.all())
    assert all(f'id="{where[1:]}"' in page.text for where in marks(page))


def test_a_changed_vehicle_says_what_is_drawn_of_it(get: Get, manager: Person, alder: Yard) -> None:
    build.vehicle(alder, "AB-1")
    build.vehicle(alder, "AB-2", lift_m=0.1016, drop_arm=True)
    assert "Drawn as it was changed" not in get(manager, "/vehicles/AB-1/").text
    page = get(manager, "/vehicles/AB-2/")
    assert "not to measure: raised 4 in (101.6 mm), drop Pitman arm." in page.text
