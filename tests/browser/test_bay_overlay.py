"""What stands on a tablet: what the server last said, with what was done there since."""

from collections.abc import Callable
from typing import Any

import pytest
from django.templatetags.static import static

from tests.browser.conftest import Visit
from tests.rule_vectors import rules

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite

Stands = Callable[..., dict[str, Any]]
ASK = """async ([address, pack, rules, operations]) => {
  const { overlay } = await import(address);
  const before = JSON.stringify(pack);
  const vehicle = overlay(pack, rules, operations).vehicles[0];
  if (JSON.stringify(pack) !== before) throw new Error("the pack was altered");
  return vehicle;
}"""
MADE = "2026-11-25T12:00:00.000Z"
FRAME = {
    "id": 1, "kind": "track_bar_frame_end", "side": "", "holds": True, "fitted": "fitted",
    "response": "track_bar_end", "moved_before": False, "never_retorqued": False, "mark": "tight",
    "spec": {"typed": "115 to 135 lbf·ft", "low_nm": 155.9, "high_nm": 183.0, "angle": None,
             "new_fastener": False, "thread_condition": "dry", "source": "invented"},
    "limit": None, "last": {"code": "tight", "at": "2026-11-01T12:00:00Z"},
}  # fmt: skip
TOOL = {"code": "TW-1", "low_nm": 40.0, "high_nm": 340.0, "lever_m": None, "compared": [],
        "good_until": "2027-03-01", "doubted_since": None}  # fmt: skip
HOLD = {"id": 5, "reason": "finding", "words": "play", "joint": 1, "ticket": 41,
        "placed_at": "2026-11-24T12:00:00Z"}  # fmt: skip
TICKET = {"id": 41, "uid": "t", "state": "open", "title": "", "complaint": None, "lines": [],
          "checks": [], "releases": [], "tests": []}  # fmt: skip
WHOLE = {"torque": "125", "tool": "TW-1", "turned": "no", "thread_condition": "dry"}


def a_pack(**vehicle: Any) -> dict[str, Any]:
    told = {"unit": "A-101", "linkage": "crossing", "joints": [FRAME], "holds": [], "tickets": [],
            "complaints": [], "due": [], "meter": None, "toe": None, **vehicle}  # fmt: skip
    return {"made_at": MADE, "yard": {"time_zone": "UTC", "far": False}, "tools": [TOOL],
            "people": [{"id": 7, "name": "Technician"}], "vehicles": [told]}  # fmt: skip


def done(verb: str, uid: str = "u1", status: str = "waiting", **body: Any) -> dict[str, Any]:
    return {"uid": uid, "verb": verb, "person": 7, "status": status, "offset_ms": 0,
            "made_at": "2026-11-25T13:00:00.000Z", "answered_at": None, "body": body}  # fmt: skip


@pytest.fixture
def stands(visit: Visit) -> Stands:
    page = visit()
    page.goto("/accounts/login/")

    def ask(pack: dict[str, Any], *operations: Any) -> dict[str, Any]:
        address = static("web/bay/overlay.js")
        found: dict[str, Any] = page.evaluate(ASK, [address, pack, rules(), list(operations)])
        return found

    return ask


@pytest.mark.django_db(transaction=True)
def test_a_finding_made_here_marks_holds_and_opens_its_line(stands: Stands) -> None:
    look = {"joint": 1, "code": "play", "method": "dry_steer"}
    found = stands(a_pack(), done("record_inspection", vehicle="A-101", findings=[look]))
    assert [joint["mark"] for joint in found["joints"]] == ["play"]
    assert [(hold["joint"], hold["ticket"]) for hold in found["holds"]] == [(1, "u1")]
    # What a new track bar brings with it is a line too.
    lines = [line["action"] for line in found["tickets"][0]["lines"]]
    assert lines == ["replace_track_bar", "set_toe"]


@pytest.mark.django_db(transaction=True)
def test_what_came_back_refused_does_not_stand(stands: Stands) -> None:
    look = {"joint": 1, "code": "play", "method": "dry_steer"}
    op = done("record_inspection", status="refused", vehicle="A-101", findings=[look])
    assert stands(a_pack(), op) == a_pack()["vehicles"][0]


@pytest.mark.django_db(transaction=True)
def test_what_the_server_took_in_stands_once(stands: Stands) -> None:
    """Until a pack comes that was made after it, the tablet lays it over; then no more."""
    op = done("place_hold", status="accepted", vehicle="A-101", text="smoke", joint=None)
    op["answered_at"] = "2026-11-25T13:00:01.000Z"
    assert len(stands(a_pack(), op)["holds"]) == 1
    assert stands({**a_pack(), "made_at": "2026-11-25T14:00:00.000Z"}, op)["holds"] == []


@pytest.mark.django_db(transaction=True)
def test_a_close_made_here_lifts_nothing(stands: Stands) -> None:
    pack = a_pack(holds=[HOLD], tickets=[TICKET])
    line = {"ticket": 41, "action": "retorque", "joint": 1}
    operations = [
        done("add_line", "u1", ticket=41, action="retorque", joint=1),
        done("record_line", "u2", line=line, typed=WHOLE, done_by="", saw=None),
        done("second_check", "u3", ticket=41, passed=True, dry_steer=True, how="in_person"),
        done("road_test", "u4", ticket=41, passed=True, note=""),
        done("close_ticket", "u5", ticket=41, outcome=""),
    ]
    found = stands(pack, *operations)
    assert [hold["id"] for hold in found["holds"]] == [5]
    ticket = found["tickets"][0]
    assert (ticket["state"], ticket["lines"][0]["state"]) == ("closed", "complete")
    assert ticket["lines"][0]["entry"]["uid"] == "u2"


@pytest.mark.django_db(transaction=True)
def test_work_after_the_second_check_asks_for_it_anew(stands: Stands) -> None:
    pack = a_pack(holds=[HOLD], tickets=[{**TICKET, "state": "checked"}])
    found = stands(pack, done("add_line", ticket=41, action="retorque", joint=1))
    assert found["tickets"][0]["state"] == "open"


@pytest.mark.django_db(transaction=True)
def test_a_ticket_opened_here_is_found_by_what_opened_it(stands: Stands) -> None:
    operations = [
        done("open_ticket", "u1", vehicle="A-101", title="Loose bar", complaint=None, lines=[]),
        done("add_line", "u2", ticket="u1", action="retorque", joint=1),
        done("drop_line", "u3", line={"ticket": "u1", "action": "retorque", "joint": 1}),
        done("add_line", "u4", ticket="u1", action="set_toe", joint=None),
    ]
    ticket = stands(a_pack(), *operations)["tickets"][0]
    assert (ticket["id"], ticket["title"]) == (None, "Loose bar")
    assert [line["action"] for line in ticket["lines"]] == ["set_toe"]
