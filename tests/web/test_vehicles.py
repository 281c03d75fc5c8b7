"""The list of vehicles and one vehicle's page."""

from datetime import timedelta

import pytest

from fleet.records.models import Finding, Person, Yard
from tests import build, crowd, people
from tests.build import NOW
from tests.web.conftest import SIZES, Get, Queries


def numbers(page: object) -> list[str]:
    return [row.unit_number for row in page.context["page"]]  # type: ignore[attr-defined]


def test_an_empty_fleet_says_how_vehicles_come_in(get: Get, manager: Person) -> None:
    assert "A manager brings them in from a table." in get(manager, "/vehicles/").text


def test_the_list_is_searched_and_filtered(
    get: Get, manager: Person, alder: Yard, mesa: Yard
) -> None:
    held = build.vehicle(alder, "AB-12")
    build.hold(held, manager)
    build.vehicle(alder, "AB-20", duty="plough")
    build.vehicle(mesa, "MT-12", status="out")
    assert numbers(get(manager, "/vehicles/")) == ["AB-12", "AB-20", "MT-12"]
    assert numbers(get(manager, "/vehicles/", q="12")) == ["AB-12", "MT-12"]
    assert numbers(get(manager, "/vehicles/", yard="mesa-tank")) == ["MT-12"]
    assert numbers(get(manager, "/vehicles/", duty="plough")) == ["AB-20"]
    assert numbers(get(manager, "/vehicles/", state="held")) == ["AB-12"]
    assert numbers(get(manager, "/vehicles/", state="out")) == ["MT-12"]
    assert "No vehicle fits these choices." in get(manager, "/vehicles/", q="zz").text


def test_a_choice_there_is_not_is_told_beside_its_field(get: Get, manager: Person) -> None:
    assert 'id="id_duty_error"' in get(manager, "/vehicles/", duty="flying").text


def test_a_long_list_comes_in_pages_that_keep_the_choices(
    get: Get, manager: Person, alder: Yard
) -> None:
    crowd.many(alder, manager, 51)
    page = get(manager, "/vehicles/", q="N-")
    assert len(numbers(page)) == 50
    assert 'href="?q=N-&amp;page=2"' in page.text
    assert numbers(get(manager, "/vehicles/", q="N-", page="2")) == ["N-0050"]
    assert numbers(get(manager, "/vehicles/", q="N-", page="99")) == ["N-0050"]


@pytest.mark.parametrize("size", SIZES)
def test_the_list_asks_the_same_number_of_questions(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    crowd.many(alder, manager, size)
    queries(manager, "/vehicles/", 6)


def test_a_strangers_vehicle_is_not_there(
    get: Get, manager: Person, alder: Yard, mesa: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    stranger = people.stranger(mesa)
    get(stranger, "/vehicles/AB-1/", 404)
    get(stranger, f"/vehicles/AB-1/joints/{build.joint(truck).pk}/", 404)
    assert numbers(get(stranger, "/vehicles/")) == []


def test_a_vehicle_that_has_left_owes_nothing_and_is_offered_no_work(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1", status="out", left_fleet_on=NOW.date())
    build.recheck(truck, build.joint(truck), due_in=-5)
    page = get(manager, "/vehicles/AB-1/").text
    assert "It left the fleet on Nov 25, 2026." in page
    assert "Nothing is owed on this vehicle." in page
    for way in ("inspect", "complaint", "meter", "ticket", "hold"):
        assert f'href="/vehicles/AB-1/{way}/"' not in page, way
    assert 'href="/vehicles/AB-1/record/"' in page
    assert get(manager, "/vehicles/").context["page"][0].falls_on is None
    assert get(manager, "/due/").context["items"] == []


def test_what_happened_long_ago_is_told_in_ink(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.hold(truck, manager)
    story = get(manager, "/vehicles/AB-1/").text.partition('id="timeline"')[2]
    assert "<strong>Held</strong>" in story.partition('id="identity"')[0]
    assert 'class="act"' not in story.partition('id="identity"')[0]


@pytest.mark.parametrize("number", ["none", "%00", "a" * 400, "AB-1%20"])
def test_a_number_nobody_has_is_not_there(
    get: Get, manager: Person, alder: Yard, number: str
) -> None:
    build.vehicle(alder, "AB-1")
    get(manager, f"/vehicles/{number}/", 404)


def test_a_new_vehicle_says_what_is_not_known_yet(get: Get, manager: Person, alder: Yard) -> None:
    build.vehicle(alder, "AB-1")
    page = get(manager, "/vehicles/AB-1/").text
    assert "never read" in page
    assert "Nothing is owed on this vehicle." in page
    assert "Toe was never read on this vehicle." in page
    assert "No torque figure is on file for this design." in page
    assert "Nothing has been recorded of this vehicle yet." in page
    assert "service information governs" in page
    assert 'aria-label="never looked at"' in page


def test_the_joint_table_shows_mark_look_torque_part_and_share_used(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.meter(truck, 48_210, manager)
    on = build.joint(truck)
    build.torque(on, manager, build.tool(alder))
    build.part(on, manager, number="TB-14", lot="L7", at=NOW - timedelta(days=30))
    build.recheck(on.vehicle, on, due_in=2)
    page = get(manager, "/vehicles/AB-1/")
    assert 'aria-label="tight by the wrench, 50% of the recheck interval used"' in page.text
    assert "125 lbf·ft" in page.text
    assert "TB-14" in page.text
    assert "lot L7" in page.text
    assert "30 days" in page.text
    assert "48,210 mi" in page.text
    assert "40 mi a day" in page.text


def test_a_held_vehicle_says_so_before_anything_else(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.hold(truck, manager)
    page = get(manager, "/vehicles/AB-1/").text
    assert page.index("AB-1 must not go out.") < page.index("Front axle")


@pytest.mark.parametrize(("bracket", "warned"), [(False, True), (True, False)])
def test_a_drop_arm_without_its_bracket_steers_over_bumps(
    get: Get, manager: Person, alder: Yard, bracket: bool, warned: bool
) -> None:
    build.vehicle(alder, "AB-1", drop_arm=True, lowered_bracket=bracket, lift_m=0.1016)
    page = get(manager, "/vehicles/AB-1/").text
    assert ("Steers over bumps." in page) == warned
    assert "raised 4 in" in page


def test_toe_is_shown_as_read_and_as_judged(get: Get, manager: Person, alder: Yard) -> None:
    build.toe(build.vehicle(alder, "AB-1"), manager)
    page = get(manager, "/vehicles/AB-1/").text
    assert "46 5/16 in" in page
    assert "1/16 in toe-in" in page
    assert "Judged against 0 to 1/8 in (Foothill service manual, invented)." in page


def test_what_happened_newest_first_and_in_pages(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-1")
    driver = people.driver(alder)
    for n in range(30):
        build.inspection(truck, manager, NOW - timedelta(days=40 + n))
    build.finding(build.joint(truck), manager, "play", NOW - timedelta(days=3))
    build.complaint(truck, driver, NOW - timedelta(days=2), text="Shook after the cattle guard")
    build.hold(truck, manager, NOW - timedelta(days=1))
    build.ticket(truck, manager, NOW)
    page = get(manager, "/vehicles/AB-1/")
    kinds = [event.kind for event in page.context["events"]]
    assert kinds[:5] == ["ticket", "hold", "complaint", "inspection", "inspection"]
    assert len(kinds) == 25
    assert "Shook after the cattle guard" in page.text
    assert "1 loose" in page.text
    assert len(get(manager, "/vehicles/AB-1/", page="2").context["events"]) == 9


@pytest.mark.parametrize("size", SIZES)
def test_the_page_asks_the_same_number_of_questions(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    truck = build.vehicle(alder, "AB-1")
    on, look = build.joint(truck), build.inspection(truck, manager)
    build.finding(on, manager, "play", inspection=look)
    for n in range(size):
        build.inspection(truck, manager, NOW - timedelta(days=n))
        build.toe(truck, manager, NOW - timedelta(days=n))
    for n in range(min(size, 30)):
        build.recheck(truck, ladder=f"ladder_{n}")
    queries(manager, "/vehicles/AB-1/", 24)


def test_a_driver_sees_whether_it_may_go_out_and_no_history(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.hold(truck, manager)
    page = get(people.driver(alder), "/vehicles/AB-1/").text
    assert "AB-1 must not go out." in page
    assert "555-0100" in page
    assert "What happened" not in page
    get(
        people.person("Other Driver", "driver", alder),
        f"/vehicles/AB-1/joints/{build.joint(truck).pk}/",
        403,
    )


def test_a_joints_life_shows_each_finding_with_what_it_was_judged_against(
    get: Get, manager: Person, alder: Yard
) -> None:
    truck = build.vehicle(alder, "AB-1")
    on, wrench = build.joint(truck), build.tool(alder, "AL-1")
    figure = build.spec(manager)
    line = {"limit_m": 0.0015875, "limit_citation": "49 CFR 393.209", "answer": "past"}
    worn = {"play_typed": "1/8 in", "play_m": 0.003175, "response": "hold", **line}
    build.finding(on, manager, "play", NOW - timedelta(days=9), **worn)
    moved = build.finding(on, manager, "moved", NOW - timedelta(days=2), degrees=25, spec=figure)
    build.torque(on, manager, wrench, moved, spec=figure, turned=True, degrees=25)
    build.part(on, manager, number="TB-14", lot="L7")
    build.recheck(truck, on)
    page = get(manager, f"/vehicles/AB-1/joints/{on.pk}/")
    for text in ("0.063 in", "49 CFR 393.209", "past the line", "moved 25°", "turned 25°", "AL-1",
                 "114.3 to 135.7 lbf·ft", "within the figure", "TB-14", "L7",
                 "plain or lock nut on a straight bolt"):  # fmt: skip
        assert text in page.text, text
    assert [row.code for row in page.context["life"].findings] == ["moved", "play"]


def test_a_joint_never_looked_at_says_so(get: Get, manager: Person, alder: Yard) -> None:
    on = build.joint(build.vehicle(alder, "AB-1"))
    page = get(manager, f"/vehicles/AB-1/joints/{on.pk}/").text
    assert "Never looked at." in page
    assert "Nobody has recorded a look at this joint." in page
    assert "No torque is on record at this joint." in page


def test_a_joint_of_another_vehicle_is_not_on_this_one(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.vehicle(alder, "AB-1")
    other = build.joint(build.vehicle(alder, "AB-2"))
    get(manager, f"/vehicles/AB-1/joints/{other.pk}/", 404)
    get(manager, f"/vehicles/AB-2/joints/{10**30}/", 404)


@pytest.mark.parametrize("size", SIZES)
def test_the_joints_page_asks_the_same_number_of_questions(
    queries: Queries, manager: Person, alder: Yard, size: int
) -> None:
    truck = build.vehicle(alder, "AB-1")
    on, wrench = build.joint(truck), build.tool(alder)
    for n in range(size):
        row: Finding = build.finding(on, manager, "tight", NOW - timedelta(days=n))
        build.torque(on, manager, wrench, row, at=row.occurred_at)
    build.recheck(truck, on)
    queries(manager, f"/vehicles/AB-1/joints/{on.pk}/", 21)


def test_a_lifted_vehicle_shows_its_geometry_and_never_a_clearance(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.vehicle(alder, "AB-1", drop_arm=True, lift_m=0.1016, drag_link_typed="37 in",
                  drag_link_m=0.9398, drag_link_degrees=9.5, track_bar_typed="33 1/2 in",
                  track_bar_m=0.8509, track_bar_degrees=16)  # fmt: skip
    page = get(manager, "/vehicles/AB-1/").text
    assert "over the limit of 0.118 in (3.0 mm) (own)" in page
    assert "This is no clearance to drive" in page
    assert "Drag link 37 in at 9.5°, track bar 33 1/2 in at 16°" in page


def test_a_lifted_vehicle_not_measured_says_what_to_measure(
    get: Get, manager: Person, alder: Yard
) -> None:
    build.vehicle(alder, "AB-1", lift_m=0.1016, drag_link_degrees=9.5)
    page = get(manager, "/vehicles/AB-1/").text
    assert "to be measured is length of the drag link, angle of the track bar" in page


def test_toe_shows_what_it_did_since_it_was_left(get: Get, manager: Person, alder: Yard) -> None:
    truck = build.vehicle(alder, "AB-1")
    build.toe(truck, manager, NOW - timedelta(days=30))
    build.toe(truck, manager, as_left=False, toe_m=-0.0047625)
    page = get(manager, "/vehicles/AB-1/").text
    assert "1/4 in (6.4 mm) towards toe-out" in page
    assert "doubt of the tape 1/8 in" in page
