"""A torque tool's page: what befell it, and its uses on other work told and corrected."""

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import Person, ToolUse, TorqueTool, Yard
from tests import build, people
from tests.web.conftest import Get


@pytest.fixture
def tool(db: None, alder: Yard) -> TorqueTool:
    load_reference(server_actor("command"), at=timezone.now())
    return build.tool(alder, "TW-1")


def send(who: Person, address: str, **said: Any) -> Any:
    client = Client()
    client.force_login(who)
    return client.post(address, said)


def test_with_nothing_on_file_it_says_so(get: Get, manager: Person, tool: TorqueTool) -> None:
    page = get(manager, f"/tools/{tool.pk}/")
    assert "Nothing is on file" in page.text
    assert f'href="/tools/{tool.pk}/used/"' in page.text


def test_uses_are_told_shown_and_corrected(get: Get, manager: Person, tool: TorqueTool) -> None:
    day = timezone.localdate().isoformat()
    send(manager, f"/tools/{tool.pk}/used/", uses="1", on=day, reason="a gate hinge")
    use = ToolUse.objects.get()
    page = get(manager, f"/tools/{tool.pk}/").text
    assert "used 1 time on other work: a gate hinge" in page
    send(manager, f"/tools/{tool.pk}/used/{use.pk}/correct/", uses="12", reason="a dozen")
    page = get(manager, f"/tools/{tool.pk}/").text
    assert "used 12 times on other work" in page
    assert "(corrected, in place of 1: a dozen)" in page
    assert "(corrected later, does not count)" in page
    # What was corrected is not corrected twice.
    assert f"/used/{use.pk}/correct/" not in page


@pytest.mark.parametrize(
    ("uses", "day", "said"),
    [("", "2026-11-20", "Type how many times, like 40."),
     ("many", "2026-11-20", "Type a whole number, like 40."),
     ("0", "2026-11-20", "Type how many times, from 1 to 100000."),
     ("7", "", "Type the day, like 2026-11-25."),
     ("7", "2999-01-01", "This day is still to come.")],
)  # fmt: skip
def test_wrong_input_is_told_and_nothing_typed_is_lost(
    manager: Person, tool: TorqueTool, uses: str, day: str, said: str
) -> None:
    page = send(manager, f"/tools/{tool.pk}/used/", uses=uses, on=day, reason="hay trailers")
    text = page.content.decode()
    assert said in text
    assert "hay trailers" in text
    assert not ToolUse.objects.exists()


def test_who_may_not_calibrate_sees_the_page_and_no_way_to_tell(
    get: Get, tool: TorqueTool, alder: Yard
) -> None:
    technician = people.technician(alder)
    page = get(technician, f"/tools/{tool.pk}/")
    assert page.status_code == 200
    assert "/used/" not in page.text


def test_a_use_of_another_tool_is_not_found_here(
    manager: Person, tool: TorqueTool, alder: Yard
) -> None:
    other = build.tool_use(build.tool(alder, "TW-2"), manager)
    assert send(manager, f"/tools/{tool.pk}/used/{other.pk}/correct/").status_code == 404
