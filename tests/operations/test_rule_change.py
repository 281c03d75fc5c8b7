"""A rule changed: limits against nonsense, versions, what moves and what keeps its time."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from fleet.operations.actor import Actor
from fleet.operations.errors import Conflict, NotAllowed, NotThere, Refused
from fleet.operations.rule_change import change_rule
from fleet.operations.rule_data import NewRule
from fleet.operations.rule_figures import Step, least_days
from fleet.operations.rule_preview import preview_rule
from fleet.reads.plan.minutes import Minutes
from fleet.reads.rule_words import versions_of, words_of
from fleet.reads.rules import rule, rules
from fleet.reads.rules_seen import newest_rule
from fleet.records.models import Recheck, Rule, TrailEntry, Vehicle
from tests import build, people
from tests.operations.conftest import RETORQUE, House

FRAME = "track_bar_frame_end"
LONGER = NewRule(
    "ladder", "track_bar", (Step("150 mi", "10", "8"), Step("800 km", "30", "20")),
    reason="Loosens later than we thought",
)  # fmt: skip
SHORTER = replace(LONGER, steps=(Step("50", "4", "3"), Step("500 mi", "30", "20")))


def problems(house: House, new: NewRule) -> dict[str, str]:
    with pytest.raises(Refused) as refused:
        change_rule(house.manager, new, at=house.now)
    return {problem.field: problem.code for problem in refused.value.problems}


def change(house: House, new: NewRule, **more: Any) -> Rule:
    return change_rule(house.manager, new, at=house.now, **more).row


def owed(house: House) -> Recheck:
    house.repair(("retorque", FRAME, RETORQUE))
    return Recheck.objects.get(ladder="track_bar", joint=house.joint(), state="owed")


def day(row: Recheck) -> date:
    assert row.due_on is not None
    return row.due_on


def live(house: House) -> Recheck:
    return Recheck.objects.get(ladder="track_bar", joint=house.joint(), state__in=Recheck.LIVE)


def test_it_is_a_new_version_with_who_when_and_why(house: House) -> None:
    made = change(house, LONGER)
    assert (made.version, made.is_current, made.set_by) == (2, True, house.manager.person)
    newest, first = versions_of("ladder", "track_bar")
    assert (newest.row, newest.row.reason, newest.at) == (made, LONGER.reason, house.now)
    assert newest.before == first.says == "100 mi, 7 days or 5 h; 500 mi, 30 days or 20 h"
    assert newest.says == "150 mi, 10 days or 8 h; 800 km (497.1 mi), 30 days or 20 h"
    # The ways to look stay, and figures that were changed are no longer anybody else's.
    assert [step["methods"] for step in made.data["rungs"]] == [["wrench", "witness_mark"]] * 2
    entry = TrailEntry.objects.get(verb="change_rule")
    assert entry.before["says"]["en"] == newest.before


def test_what_a_rule_started_with_stays_with_it(house: House) -> None:
    first = owed(house)
    change(house, LONGER)
    again = live(house)
    assert (again.pk, again.due_on, again.rule_version) == (first.pk, first.due_on, 1)
    house.later(days=5)
    house.tight()
    assert live(house).rule_version == 2


def test_asked_for_it_is_made_anew_and_the_preview_has_told(house: House) -> None:
    first = owed(house)
    new = replace(SHORTER, anew=True)
    told = preview_rule(house.manager, new, now=house.now)
    assert (told.owed, told.sooner, told.later, told.kept, told.late) == (2, 2, 0, 0, 0)
    assert [(one.yard.name, one.moving) for one in told.yards] == [("Alder", 2)]
    assert {one.falls_on for one in told.first} == {day(first) - timedelta(days=3)}
    change(house, new)
    again = live(house)
    assert again.pk != first.pk
    assert (again.started_at, again.rule_version) == (first.started_at, 2)
    assert again.due_on == told.first[0].falls_on
    first.refresh_from_db()
    assert (first.state, first.drop_reason) == ("dropped", "made anew: the rule changed")
    assert TrailEntry.objects.get(verb="change_rule").after["made_anew"] == 2


def test_a_preview_writes_nothing(house: House) -> None:
    owed(house)
    before = (TrailEntry.objects.count(), Rule.objects.count())
    preview_rule(house.manager, replace(LONGER, anew=True), now=house.now)
    assert (TrailEntry.objects.count(), Rule.objects.count()) == before


def test_what_would_be_late_at_once_stands_first_and_falls_due_that_day(house: House) -> None:
    first = owed(house)
    house.later(days=5)
    new = replace(SHORTER, anew=True)
    told = preview_rule(house.manager, new, now=house.now)
    assert (told.late, told.first[0].late) == (2, True)
    assert told.first[0].falls_on == day(first) - timedelta(days=3)
    change(house, new)
    assert live(house).due_on == house.now.date()


def test_what_has_a_time_of_its_own_keeps_it(house: House) -> None:
    first = owed(house)
    Recheck.objects.filter(pk=first.pk).update(due_on=date(2026, 9, 3), falls_on=date(2026, 9, 3))
    told = preview_rule(house.manager, replace(LONGER, anew=True), now=house.now)
    assert (told.kept, told.moving) == (1, 1)
    change(house, replace(LONGER, anew=True))
    assert live(house).pk == first.pk


def test_a_missed_one_is_no_rules_to_wipe_out(house: House) -> None:
    first = owed(house)
    Recheck.objects.filter(pk=first.pk).update(state="missed", fell_due_at=house.now)
    assert preview_rule(house.manager, LONGER, now=house.now).missed == 1
    change(house, replace(LONGER, anew=True))
    assert live(house).pk == first.pk


def test_shortened_after_it_moved_keeps_its_time(house: House) -> None:
    owed(house)
    house.later(days=5)
    house.moved()
    halved = live(house)
    assert preview_rule(house.manager, LONGER, now=house.now).kept == 1
    change(house, replace(LONGER, anew=True))
    assert live(house).pk == halved.pk


@pytest.mark.parametrize(
    ("steps", "field", "code"),
    [
        ((Step("500 mi", "30", "20"), Step("100 mi", "40", "30")), "steps.1.distance",
         "shorter_than_before"),
        ((Step("100 mi", "30", "5"), Step("500 mi", "7", "20")), "steps.1.days",
         "shorter_than_before"),
        ((Step("soon", "7", "5"),), "steps.0.distance", "distance_wrong"),
        ((Step("0", "7", "5"),), "steps.0.distance", "distance_wrong"),
        ((Step("90000 km", "7", "5"),), "steps.0.distance", "distance_wrong"),
        ((Step("100 h", "7", "5"),), "steps.0.distance", "distance_wrong"),
        ((Step("100 mi", "", "5"),), "steps.0.days", "days_missing"),
        ((Step("100 mi", "7", ""),), "steps.0.hours", "hours_missing"),
        ((Step("", "7", "5"),), "steps.0.distance", "distance_missing"),
        ((Step("100 mi", "1.5", "5"),), "steps.0.days", "figure_wrong"),
        ((Step("100 mi", "-7", "5"),), "steps.0.days", "figure_wrong"),
        ((Step("100 mi", "9000", "5"),), "steps.0.days", "figure_wrong"),
        ((Step("100 mi", "7", "nan"),), "steps.0.hours", "figure_wrong"),
        ((Step(), Step()), "steps.0.distance", "no_step"),
        (tuple(Step(f"{n}00 mi", f"{n}0", "9") for n in range(1, 8)), "steps.6.distance",
         "too_many_steps"),
    ],
)  # fmt: skip
def test_nonsense_is_told_beside_its_field(
    house: House, steps: tuple[Step, ...], field: str, code: str
) -> None:
    assert problems(house, replace(LONGER, steps=steps)) == {field: code}
    assert rule("ladder", "track_bar").version == 1


def test_all_that_is_wrong_is_told_at_once(house: House) -> None:
    new = replace(LONGER, steps=(Step("x", "y", "z"),), reason=" ")
    assert set(problems(house, new)) == {"steps.0.distance", "steps.0.days", "steps.0.hours",
                                         "reason"}  # fmt: skip


def test_wheel_nuts_are_not_due_before_a_look_counts(house: House) -> None:
    """Not before 25 mi; due by 50 (BS AU 50 Part 2 Sec 7a:1995, sources.md 8)."""
    new = NewRule("ladder", "wheel_nuts", (Step("25 mi", "3", "2"),), reason="sooner")
    assert problems(house, new) == {"steps.0.distance": "before_it_counts"}


def test_saying_the_same_is_no_change(house: House) -> None:
    same = replace(LONGER, steps=(Step("100", "7", "5"), Step("500 mi", "30", "20")))
    assert problems(house, same) == {"": "nothing_changed"}


def test_back_to_an_earlier_version_is_a_new_version(house: House) -> None:
    change(house, LONGER)
    back = change(house, NewRule("ladder", "track_bar", reason="As it was", back_to=1))
    assert back.version == 3
    assert words_of(back.data) == words_of(Rule.objects.get(key="track_bar", version=1).data)
    assert problems(house, NewRule("ladder", "track_bar", reason="x", back_to=9)) == {
        "back_to": "version_unknown"
    }


def test_of_two_managers_the_second_is_told(house: House) -> None:
    change(house, LONGER, expected_version=1)
    with pytest.raises(Conflict):
        change(house, SHORTER, expected_version=1)
    assert rule("ladder", "track_bar").version == 2


def test_the_statement_that_rules_were_looked_over_notices(house: House) -> None:
    before = newest_rule()
    made = change(house, LONGER)
    assert newest_rule() == made != before
    uses = change(house, NewRule("setting", "tool_interval_uses", value="4000", reason="Our own"))
    assert newest_rule() == uses


def test_the_legal_inspection_comes_sooner_never_later(house: House) -> None:
    """At least once in 12 months: 49 CFR 396.17 (sources.md 2)."""
    annual = NewRule("routine", "annual", value="13", reason="Save a trip")
    assert problems(house, annual) == {"value": "past_the_law"}
    made = change(house, replace(annual, value="6"))
    assert (made.data["months"], made.data["days"]) == (6, 181)
    assert (least_days(12), least_days(1)) == (365, 28)


def test_a_weight_class_has_a_routine_of_its_own_and_gives_it_back(house: House) -> None:
    heavy = NewRule("routine", "gravel-heavy", (Step("3,000 mi", "90", "100"),), reason="Heavier")
    made = change(house, heavy, expected_version=0)
    assert made.data["names"]["en"] == "Gravel, 26,001 lb and over"
    truck = Vehicle.objects.get()
    told = preview_rule(house.manager, replace(heavy, steps=(Step("2,000 mi", "60", "80"),)),
                        now=house.now)  # fmt: skip
    assert told.owed == 0
    Vehicle.objects.filter(pk=truck.pk).update(gross_weight_kg=12_000)
    house.later(days=1)
    house.inspect(*every_hold_joint(house))
    routine = Recheck.objects.get(kind="routine", state="owed")
    assert routine.due_on is not None
    assert (routine.due_on - house.now.date()).days == 90
    back = NewRule("routine", "gravel-heavy", reason="Not needed", take_back=True, anew=True)
    change(house, back)
    routine = Recheck.objects.get(kind="routine", state="owed")
    assert routine.due_on is not None
    assert (routine.due_on - house.now.date()).days == 120
    assert not rules("routine")["gravel-heavy"].data["stands"]


def every_hold_joint(house: House) -> list[Any]:
    rows = house.vehicle.joints.filter(kind__holds=True).select_related("kind")
    found = []
    for joint in rows:
        method = (joint.kind.play_methods or ["look"])[0]
        found.append(house.look(joint.kind.code, "no_play", joint.side, method=method))
    return found


def test_after_a_move_the_share_and_the_floor_are_rules_too(house: House) -> None:
    new = NewRule("ladder", "after_moved", (Step("60", "3", "4"),), value="40 %", reason="Sooner")
    made = change(house, new)
    assert (made.data["factor"], made.data["floor"]["days"]) == (0.4, 3)
    assert problems(house, replace(new, value="95")) == {"value": "figure_wrong"}


def test_only_a_manager_changes_rules_and_only_those_there_are(house: House) -> None:
    with pytest.raises(NotAllowed):
        change_rule(house.technician, LONGER, at=house.now)
    with pytest.raises(NotThere):
        change(house, NewRule("response", "other", reason="x"))


def test_a_manager_makes_anew_in_their_own_yards_only(house: House) -> None:
    first = owed(house)
    away = Actor(people.person("Away", "manager", build.yard("Mesa Tank")))
    assert preview_rule(away, LONGER, now=house.now).owed == 0
    change_rule(away, replace(LONGER, anew=True), at=house.now)
    assert live(house).pk == first.pk


def test_minutes_and_people_of_work_are_rules_that_the_plan_goes_by(house: House) -> None:
    row = owed(house)
    change(house, NewRule("minutes", "retorque", value="25", people=2, reason="Timed"))
    assert (Minutes.now().recheck(row).minutes, Minutes.now().recheck(row).people) == (25, 2)
    row.refresh_from_db()
    assert row.state == "owed"
    [now, before] = versions_of("minutes", "retorque")
    assert (now.says, before.says) == ("25 min, two people at once", "10 min")


def test_a_dry_steer_takes_two_whatever_a_rule_would_say(house: House) -> None:
    alone = NewRule("minutes", "dry_steer", value="20", people=1, reason="Short of hands")
    assert problems(house, alone) == {"people": "people_wrong"}
    endless = NewRule("minutes", "look", value="900", people=3, reason="")
    assert problems(house, endless) == {
        "value": "figure_wrong", "people": "people_wrong", "reason": "reason_missing",
    }  # fmt: skip
