"""The plan's pages: what must be set up first, the day sheets, moving, planning again, paper."""

from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from fleet.operations import holds, plan_hours, plan_visits
from fleet.operations.actor import Actor, server_actor
from fleet.operations.plan_solve import work_plans
from fleet.operations.plan_visits import Place
from fleet.records.models import (
    AwayDay,
    ClosedDay,
    LockedDay,
    PlanRun,
    Vehicle,
    Visit,
    YardPlan,
)
from tests import build, people
from tests.planned import FRIDAY, MONDAY, NOW, THURSDAY, Ground, visit_of
from tests.web.conftest import Get, Send

PLAN = "/plan/at/alder/"


@pytest.fixture
def ground(db: None) -> Ground:
    return Ground()


def test_before_its_hours_are_set_a_yard_says_what_comes_first(db: None, get: Get) -> None:
    build.yard("Alder")
    page = get(people.scheduler(), "/plan/")
    assert "Say first when Alder works" in page.text
    assert f"{PLAN}hours/" in page.text
    assert "Plan again" not in page.text


def test_without_anybodys_days_it_leads_to_people(db: None, get: Get) -> None:
    yard, who = build.yard("Alder"), people.scheduler()
    YardPlan.objects.create(yard=yard, hours=[["07:00", "15:00"]] * 7)
    page = get(who, PLAN)
    assert "Nobody of Alder has days on file yet" in page.text
    assert f"{PLAN}stands-on/" in page.text


def test_a_day_sheet_says_when_who_and_what_with_its_mark(ground: Ground, get: Get) -> None:
    truck = ground.truck(joint="track_bar_frame_end")
    ground.plan(truck)
    page = get(ground.scheduler.person, PLAN)
    for words in ("Friday, Nov 27, 2026", "07:00 – 15:00", "bays 30 of 480 min", "A-101",
                  "Track bar, frame end", "may hold it", "30 of 480 min"):  # fmt: skip
        assert words in page.text
    assert "All that falls due within four weeks is planned." in page.text


def test_what_changed_under_the_plan_is_said_on_the_sheet(ground: Ground, get: Get) -> None:
    held, moved, late = (ground.truck(f"A-{n}") for n in range(3))
    for truck in (held, moved):
        ground.plan(truck, FRIDAY)
    ground.plan(late, MONDAY)
    holds.place_hold(Actor(ground.technician), held.pk, "Bent", at=NOW)
    Vehicle.objects.filter(pk=moved.pk).update(yard=build.yard("Birch"))
    page = get(ground.scheduler.person, PLAN)
    for words in ("held", "now lives at Birch"):
        assert words in page.text
    # Due on Saturday, planned for the Monday after.
    after = get(ground.scheduler.person, PLAN, week=str(MONDAY))
    assert "falls due Nov 28, 2026, before this day" in after.text


def test_what_is_on_no_day_stands_with_what_may_hold_first(ground: Ground, get: Get) -> None:
    ground.truck("A-1", due_in=1)
    ground.truck("A-2", due_in=9, joint="track_bar_frame_end")
    text = get(ground.scheduler.person, PLAN).text
    assert text.index("A-2") < text.index("A-1")


def test_a_technician_reads_their_own_days_and_changes_nothing(ground: Ground, get: Get) -> None:
    ground.plan(ground.truck("A-1"), people=[ground.technician.pk])
    ground.plan(ground.truck("A-2"), people=[ground.colleague.pk])
    page = get(ground.technician, PLAN)
    assert ("A-1" in page.text, "A-2" in page.text) == (True, False)
    for words in ("Plan again", "On no day yet", "/move/", "480 min"):
        assert words not in page.text
    get(ground.technician, f"{PLAN}ask/", status=403)


def test_a_form_moves_it_and_tells_what_is_wrong_beside_the_field(
    ground: Ground, get: Get, send: Send
) -> None:
    visit, who = ground.plan(ground.truck()), ground.scheduler.person
    address = f"/plan/visits/{visit.pk}/move/"
    saturday = str(FRIDAY + timedelta(days=1))
    wrong = send(who, address, status=400, day=saturday, version=visit.version)
    assert "Alder does not work on Nov 28, 2026 by its hours." in wrong.text
    none = send(who, address, status=400, day="", version=visit.version)
    assert "Choose a day, like 2026-11-30." in none.text
    send(who, address, day=str(MONDAY), version=visit.version, pinned="on")
    stale = send(who, address, status=409, day=str(THURSDAY), version=visit.version)
    assert "was changed by somebody else" in stale.text
    assert visit_of(visit.vehicle).day == MONDAY
    page = get(who, PLAN, week=str(MONDAY))
    assert "Undo the move" in page.text


def test_buttons_pin_undo_take_out_and_lock(ground: Ground, send: Send) -> None:
    visit, who = ground.plan(ground.truck()), ground.scheduler.person
    send(who, f"/plan/visits/{visit.pk}/pin/", pinned="yes", version=visit.version)
    assert visit_of(visit.vehicle).pinned
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), **ground.at)
    send(who, f"/plan/visits/{visit.pk}/undo/")
    assert visit_of(visit.vehicle).day == FRIDAY
    send(who, f"{PLAN}lock/", day=str(FRIDAY), locked="yes")
    assert LockedDay.objects.filter(day=FRIDAY).exists()
    locked = send(who, f"/plan/visits/{visit.pk}/out/", status=400)
    assert "is locked at Alder" in locked.text
    send(who, f"{PLAN}lock/", day=str(FRIDAY), locked="no")
    send(who, f"/plan/visits/{visit.pk}/out/")
    assert not Visit.objects.filter(state="planned").exists()


def test_a_press_on_what_somebody_else_changed_is_told_and_does_nothing(
    ground: Ground, send: Send, get: Get
) -> None:
    visit = ground.plan(ground.truck())
    plan_visits.move_visit(ground.scheduler, visit.pk, Place(MONDAY), **ground.at)
    who = ground.scheduler.person
    send(who, f"/plan/visits/{visit.pk}/pin/", pinned="no", version=visit.version)
    assert visit_of(visit.vehicle).pinned
    assert "was changed by somebody else" in get(who, PLAN).text


def test_planning_again_is_asked_watched_and_put_in_place(
    ground: Ground, get: Get, send: Send
) -> None:
    truck, who = ground.truck(), ground.scheduler.person
    ground.truck("A-2", kind="rack", methods=[])
    send(who, f"{PLAN}ask/", first=str(THURSDAY), days="7")
    run = PlanRun.objects.get()
    address = f"/plan/runs/{run.pk}/"
    assert "It waits for the work process" in get(who, address).text
    assert "The planner is at work on this yard." in get(who, PLAN).text
    send(who, f"{address}stop/")
    assert "Told to stop" in get(who, address).text
    work_plans(server_actor(), at=NOW, seconds=0.1)
    page = get(who, address)
    for words in ("1 change to the plan.", "Found no day, and why", "New on the plan",
                  "nobody who sets alignment on a rack is there"):  # fmt: skip
        assert words in page.text
    assert not Visit.objects.exists()
    run.refresh_from_db()
    send(who, f"{address}take/", version=run.version)
    assert visit_of(truck).state == "planned"
    # Why the other found no day stays on the page until it is planned.
    assert "nobody who sets alignment on a rack is there" in get(who, PLAN).text


def test_while_it_works_a_small_part_of_the_page_is_asked_for(
    ground: Ground, client: Any, send: Send
) -> None:
    send(ground.scheduler.person, f"{PLAN}ask/", first=str(THURSDAY), days="7")
    run = PlanRun.objects.get()
    PlanRun.objects.filter(pk=run.pk).update(state="running", best=12.5, bound=3.0)
    part = client.get(f"/plan/runs/{run.pk}/", headers={"HX-Request": "true"})
    assert b"12.5" in part.content
    assert b"<html" not in part.content
    assert len(part.content) < 1_500
    PlanRun.objects.filter(pk=run.pk).update(state="left")
    over = client.get(f"/plan/runs/{run.pk}/", headers={"HX-Request": "true"})
    assert over["HX-Refresh"] == "true"


def test_what_the_plan_stands_on_is_set_by_forms(ground: Ground, get: Get, send: Send) -> None:
    who = ground.scheduler.person
    clocks: dict[str, Any] = {"opens_0": "08:00", "closes_0": "12:00", "opens_1": "08:00"}
    half = send(who, f"{PLAN}hours/", status=400, **clocks)
    assert "Type both clocks, or leave both empty." in half.text
    version = YardPlan.objects.get().version
    send(who, f"{PLAN}hours/", version=version, **{**clocks, "closes_1": "11:30"})
    assert YardPlan.objects.get().hours[:3] == [["08:00", "12:00"], ["08:00", "11:30"], None]
    send(who, f"{PLAN}closed/", day="2026-12-25", why="Basin Day")
    again = send(who, f"{PLAN}closed/", status=400, day="2026-12-25", why="Basin Day")
    assert "The yard is shut on that day already." in again.text
    send(who, f"/plan/people/{ground.technician.pk}/", day_0="200", skills="rack", version=1)
    send(who, f"/plan/people/{ground.technician.pk}/off/", first="2026-12-02", last="2026-12-03")
    truck = ground.truck()
    send(who, f"/vehicles/{truck.unit_number}/away/", first="2026-12-02", last="2026-12-01",
         status=400)  # fmt: skip
    send(who, f"/vehicles/{truck.unit_number}/away/", first="2026-12-02", last="2026-12-03")
    page = get(who, f"{PLAN}stands-on/")
    for words in ("08:00 – 11:30", "Basin Day", "200", "sets alignment on a rack",
                  "Dec 2, 2026 – Dec 3, 2026"):  # fmt: skip
        assert words in page.text
    send(who, f"/plan/closed/{ClosedDay.objects.get().pk}/drop/")
    send(who, f"/plan/away/{AwayDay.objects.get().pk}/drop/")
    assert [ClosedDay.objects.count(), AwayDay.objects.count()] == [0, 0]


def test_the_week_opens_where_the_yard_next_works(ground: Ground, get: Get) -> None:
    only_monday = [("07:00", "15:00"), *[None] * 6]
    hours = plan_hours.NewHours(only_monday)
    plan_hours.set_hours(ground.scheduler, ground.yard.pk, hours, **ground.at)
    page = get(ground.scheduler.person, PLAN)
    assert "Nov 29, 2026 to Dec 5, 2026" in page.text


@pytest.mark.parametrize("week", ["nonsense", "2026-13-45", "9999-12-31", "0001-01-01"])
def test_a_week_that_is_none_gives_this_one(ground: Ground, get: Get, week: str) -> None:
    assert "Nov 22, 2026 to Nov 28, 2026" in get(ground.scheduler.person, PLAN, week=week).text


def test_paper_is_letter_or_a4_as_the_reader_has_it(ground: Ground, client: Client) -> None:
    ground.plan(ground.truck())
    who = ground.scheduler.person
    sizes = []
    for units in ("us", "metric"):
        who.units = units
        who.save()
        client.force_login(who)
        answer = client.get(f"{PLAN}sheet.pdf", {"day": str(FRIDAY)})
        sizes.append(_size(answer.content))
    # ANSI letter is 279 x 216 mm, ISO 216 A4 297 x 210 mm, both lying.
    assert sizes == [(279, 216), (297, 210)]


def _size(content: bytes) -> tuple[int, int]:
    box = PdfReader(BytesIO(content)).pages[0].mediabox
    return round(float(box.width) * 25.4 / 72), round(float(box.height) * 25.4 / 72)
