"""Everything owed: what, when by which limit, how far through, and by whom."""

import io
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from pypdf import PdfReader

from fleet.records.models import Person, Yard
from tests import build, crowd, people
from tests.build import NOW
from tests.operations.conftest import House
from tests.web.conftest import SIZES, Get, Queries, Send

MILE = 1609.344


def owed(page: Any) -> list[Any]:
    return [item.recheck for item in page.context["items"]]


def test_nothing_owed_says_where_things_will_come_from(get: Get, manager: Person) -> None:
    assert "Repairs, findings and routines put their rechecks here." in get(manager, "/due/").text


def test_a_line_shows_the_first_of_distance_and_date_and_the_projection(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.rule("ladder", "track_bar", {"names": {"en": "Track bar: both ends"}}, manager)
    truck = build.vehicle(alder, "AB-1")
    start = build.meter(truck, 48_000, manager).use_si - round(50 * MILE)
    build.recheck(truck, build.joint(truck), due_in=5, start_use_si=start,
                  due_use_si=start + round(100 * MILE), use_on_low=NOW.date() + timedelta(days=1),
                  use_on=NOW.date() + timedelta(days=2), use_on_high=NOW.date() + timedelta(days=3),
                  falls_on=NOW.date() + timedelta(days=2), assigned_to=manager)  # fmt: skip
    page = get(manager, "/due/")
    for text in ("Nov 27", "in 2 days", "48,050 mi", "Nov 30", "likely Nov 27", "Nov 26 to Nov 28",
                 "50%", "Track bar: both ends", "Track bar, frame end", "Manager"):  # fmt: skip
        assert text in page.text, text
    assert page.context["items"][0].first == "use"


def test_the_whole_front_end_is_named_by_its_routine(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.rule("routine", "gravel", {"names": {"en": "Gravel"}}, manager)
    build.recheck(build.vehicle(alder), kind="routine", ladder="routine")
    page = get(manager, "/due/").text
    assert "whole front end" in page
    assert "Routine: Gravel" in page


def test_an_hour_meter_is_shown_in_hours(get: Get, manager: Person, alder: Yard) -> None:
    loader = build.vehicle(alder, meter_unit="h")
    build.meter(loader, 1_300, manager)
    build.recheck(loader, due_use_si=1_320 * 3600)
    assert "1,320 h" in get(manager, "/due/").text


def test_a_stale_meter_is_marked(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder)
    build.meter(truck, 10, manager, NOW - timedelta(days=400))
    build.recheck(truck)
    assert "meter not read lately" in get(manager, "/due/").text


def test_the_list_is_in_the_order_things_fall_due_and_filtered(
    get: Get, manager: Person, alder: Yard, mesa: Yard
) -> None:
    here, there = build.vehicle(alder, "AB-1"), build.vehicle(mesa, "MT-1")
    late = build.recheck(here, due_in=-2, state="missed", assigned_to=manager)
    soon = build.recheck(there, due_in=6, kind="look", ladder="rod_end")
    far = build.recheck(there, due_in=90, kind="rack", ladder="steering_opened")
    build.recheck(here, state="done", done_at=NOW, ladder="done")
    assert owed(get(manager, "/due/")) == [late, soon, far]
    assert owed(get(manager, "/due/", yard="mesa-tank")) == [soon, far]
    assert owed(get(manager, "/due/", kind="rack")) == [far]
    assert owed(get(manager, "/due/", state="missed")) == [late]
    assert owed(get(manager, "/due/", vehicle="mt-1")) == [soon, far]
    assert owed(get(manager, "/due/", within="7")) == [late, soon]
    assert owed(get(manager, "/due/", falls_from="2026-11-26", falls_to="2026-12-31")) == [soon]
    assert owed(get(manager, "/due/", assigned_to=str(manager.pk))) == [late]
    assert "Nothing owed fits these choices." in get(manager, "/due/", vehicle="none").text


@pytest.mark.parametrize(
    "query",
    [{"within": "1e400"}, {"within": "-1"}, {"within": "9" * 40}, {"falls_from": "yesterday"},
     {"yard": "none"}, {"assigned_to": "x"}, {"page": "x"}, {"vehicle": "\0"}],
)  # fmt: skip
def test_odd_choices_break_nothing(
    get: Get, manager: Person, alder: Yard, query: dict[str, str]
) -> None:
    build.recheck(build.vehicle(alder))
    get(manager, "/due/", **query)


def test_a_stranger_sees_their_own_yards_only(
    get: Get, alder: Yard, mesa: Yard, manager: Person
) -> None:
    build.recheck(build.vehicle(alder))
    stranger = people.stranger(mesa)
    assert owed(get(stranger, "/due/")) == []
    page = get(stranger, "/due/", yard="alder")
    assert "id_yard_error" in page.text


def test_a_long_list_comes_in_pages(get: Get, manager: Person, alder: Yard) -> None:
    crowd.many(alder, manager, 30)
    assert len(owed(get(manager, "/due/"))) == 50
    assert len(owed(get(manager, "/due/", page="2"))) == 10


@pytest.mark.parametrize("size", SIZES)
def test_the_number_of_queries_does_not_grow(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    queries(manager, "/due/", 17)


def test_late_this_week_later_held_and_put_off(
    get: Get, manager: Person, alder: Yard, mesa: Yard
) -> None:
    here, there = build.vehicle(alder, "AB-1"), build.vehicle(mesa, "MT-1")
    build.hold(there, manager)
    late = build.recheck(here, due_in=-2)
    soon = build.recheck(here, due_in=6, ladder="rod_end")
    far = build.recheck(there, build.joint(there), due_in=90, put_off_by=manager,
                        put_off_reason="The shop is full")  # fmt: skip
    chosen = {"late": [late], "week": [soon], "later": [far], "held": [far], "put_off": [far],
              "laid_up": []}  # fmt: skip
    for when, rows in chosen.items():
        assert owed(get(manager, "/due/", when=when)) == rows, when
    assert owed(get(manager, "/due/", joint_kind="track_bar_frame_end")) == [far]
    assert owed(get(manager, "/due/", assigned_to="null")) == [late, soon, far]
    assert "put off by Manager to Feb 23" in get(manager, "/due/").text


def test_a_day_is_late_at_its_own_yards_midnight(get: Get, manager: Person, alder: Yard) -> None:
    """Noon in Denver is the next day already on Kiritimati (UTC+14)."""
    east = build.yard("Far East", time_zone="Pacific/Kiritimati")
    here, there = (build.recheck(build.vehicle(yard), due_in=0) for yard in (alder, east))
    assert owed(get(manager, "/due/", when="late")) == [there]
    assert owed(get(manager, "/due/", when="week")) == [here]


def test_meters_nobody_read_stand_apart_with_what_to_do(
    get: Get, manager: Person, alder: Yard
) -> None:
    stale, fresh, by_date = (build.vehicle(alder, f"AB-{n}") for n in (1, 2, 3))
    build.meter(stale, 10, manager, NOW - timedelta(days=400))
    build.meter(fresh, 10, manager)
    for truck in (stale, fresh):
        build.recheck(truck, due_use_si=10**6)
    build.recheck(by_date)
    page = get(manager, "/due/")
    assert [one.unit_number for one in page.context["meters"]] == ["AB-1"]
    assert "/vehicles/AB-1/meter/" in page.text
    assert [row.vehicle for row in owed(get(manager, "/due/", meter="stale"))] == [stale, by_date]
    assert [row.vehicle for row in owed(get(manager, "/due/", meter="fresh"))] == [fresh]


def test_many_lines_are_handed_over_without_a_script(
    get: Get, send: Send, manager: Person, alder: Yard, mesa: Yard
) -> None:
    who = people.technician(alder)
    mine = [build.recheck(build.vehicle(alder)) for _each in range(3)]
    there = build.recheck(build.vehicle(mesa, "MT-9"))
    page = get(manager, "/due/", all="1", when="week")
    assert page.text.count('name="recheck"') == page.text.count(" checked>") == 4
    answer = send(manager, "/due/assign/?when=week", to=str(who.pk),
                  recheck=[row.pk for row in (*mine, there)])  # fmt: skip
    assert answer["Location"] == "/due/?when=week"
    told = get(manager, "/due/", when="week").text
    assert "3 lines handed to Technician." in told
    assert "MT-9" in told
    assert "Choose somebody of this vehicle&#x27;s yard" in told
    assert len(owed(get(manager, "/due/", assigned_to=str(who.pk)))) == 3


def test_nobody_chosen_and_nothing_ticked_are_told(
    get: Get, send: Send, manager: Person, alder: Yard
) -> None:
    send(manager, "/due/assign/", to="", recheck=["1"])
    assert "Choose whom to hand it to." in get(manager, "/due/").text
    send(manager, "/due/assign/", to="nobody")
    assert "Choose at least one line first." in get(manager, "/due/").text


def test_what_is_due_together_is_one_sheet(get: Get, house: House) -> None:
    ends = [house.joint(f"track_bar_{end}_end") for end in ("frame", "axle")]
    for end in ends:
        build.recheck(house.vehicle, end, due_in=3)
    boss = house.manager.person
    page = get(boss, "/due/", when="week")
    assert page.text.count(f"/vehicles/{house.vehicle.unit_number}/inspect/?due=7") == 2
    assert "One sheet for all 2 due" in page.text
    sheet = get(boss, f"/vehicles/{house.vehicle.unit_number}/inspect/", due="7")
    first = sheet.context["sections"][0]
    assert [entry.joint for entry in first.entries] == ends
    assert sheet.context["form"]["kind"].value() == "retorque"


def test_a_line_is_put_off_with_a_reason_and_taken_back(
    get: Get, send: Send, manager: Person, alder: Yard
) -> None:
    row = build.recheck(build.vehicle(alder), due_in=5)
    page = get(manager, f"/due/{row.pk}/put-off/")
    assert "At the latest Dec 3, 2026" in page.text
    typed = {"until": "2026-12-02", "saw": "2026-11-30"}
    refused = send(manager, f"/due/{row.pk}/put-off/", 400, **typed)
    assert "Say why, in a few words." in refused.text
    assert "2026-12-02" in refused.text
    send(manager, f"/due/{row.pk}/put-off/", **typed, reason="The shop is full")
    assert "put off by Manager to Dec 2: The shop is full" in get(manager, "/due/").text
    late = send(manager, f"/due/{row.pk}/put-off/", 409, **typed, reason="again")
    assert "changed by somebody else" in late.text
    send(manager, f"/due/{row.pk}/put-off/take-back/")
    row.refresh_from_db()
    assert (row.put_off_by, row.due_on) == (None, row.falls_on)


@pytest.mark.parametrize(("units", "height"), [("us", 612), ("metric", 595)])
def test_the_week_on_paper(
    client: Client, manager: Person, alder: Yard, units: str, height: int
) -> None:
    """A landscape letter sheet is 612 points high, a landscape A4 595 (ISO 216)."""
    manager.units = units
    manager.save()
    truck = build.vehicle(alder, "AB-1")
    build.recheck(truck, build.joint(truck), due_in=-2)
    build.recheck(truck, due_in=3, ladder="rod_end", due_use_si=10**8)
    build.recheck(build.vehicle(alder, "AB-9"), due_in=30)
    client.force_login(manager)
    pdf = PdfReader(io.BytesIO(client.get("/due/week.pdf?yard=alder").content))
    text = " ".join(page.extract_text() for page in pdf.pages)
    for words in ("Late: do these first", "Saturday", "AB-1", "Read these meters", "Alder"):
        assert words in text, words
    assert "AB-9" not in text.split("Read these meters")[0]
    assert round(pdf.pages[0].mediabox.height) == height


def test_an_empty_week_says_so(client: Client, manager: Person, alder: Yard) -> None:
    client.force_login(manager)
    text = PdfReader(io.BytesIO(client.get("/due/week.pdf").content)).pages[0].extract_text()
    assert "Nothing is late and nothing falls due within a week." in text
