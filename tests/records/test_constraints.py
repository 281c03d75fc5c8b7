"""What the database itself refuses, whatever wrote it: a row for each constraint."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

from fleet.records.base import new_uid
from fleet.records.models import (
    Finding,
    JointKind,
    Layout,
    LayoutJoint,
    LeaveTakenBack,
    Outbox,
    Posting,
    Seal,
    SecondCheck,
    StoredRequest,
    Vehicle,
    YardMoveEnd,
)
from tests import build, camera, far, outward, people, swept
from tests.build import NOW
from tests.records.constraint_rows import Rows


def twice(make: Callable[[Rows], Any]) -> Callable[[Rows], None]:
    def both(rows: Rows) -> None:
        make(rows)
        make(rows)

    return both


def both(make: Callable[..., Any], *of: Any) -> None:
    make(*of)
    make(*of)


def two_rules(rows: Rows, **first: Any) -> None:
    row = build.rule("setting", "repeat_count", {"value": 2}, rows.who)
    type(row).objects.filter(pk=row.pk).update(**first)
    build.rule("setting", "repeat_count", {"value": 3}, rows.who)


def a_spec_twice(rows: Rows, **second: Any) -> None:
    rows.spec()
    rows.spec(**second)


BREAKS: dict[str, Callable[[Rows], Any]] = {
    "joint_kind_held_by_is_known": lambda r: JointKind.objects.create(
        code="x", group="x", held_by="glue", response="other"),
    "layout_axis_is_known": lambda r: Layout.objects.create(code="x", axis="roof"),
    "layout_joint_once": lambda r: LayoutJoint.objects.create(
        layout=r.place.layout, kind=r.place.kind, side=r.place.side, order=1),
    "layout_joint_side_is_known": lambda r: LayoutJoint.objects.create(
        layout=r.place.layout, kind=r.place.kind, side="top", order=1),
    "vin_once": lambda r: r.vehicle(vin="1M8GDM9AXKP042788"),
    "vehicle_status_is_known": lambda r: r.vehicle(status="held"),
    "vehicle_laid_up_has_day": lambda r: r.vehicle(status="laid_up"),
    "vehicle_duty_is_known": lambda r: r.vehicle(duty="racing"),
    "vehicle_unit_is_known": lambda r: r.vehicle(meter_unit="ly"),
    "joint_once": lambda r: type(r.end).objects.create(
        vehicle=r.truck, place=r.place, kind=r.end.kind, side="", order=1),
    "joint_fitted_is_known": lambda r: type(r.end).objects.filter(pk=r.end.pk).update(fitted="?"),
    "fitting_is_known": lambda r: r.fitting(fitted="?"),
    "fitting_says_why": lambda r: r.fitting(reason=""),
    "file_request_days_in_order": lambda r: r.asked(
        since=NOW.date(), until=NOW.date() - timedelta(days=1)),
    "file_request_says_why": lambda r: r.asked(why=""),
    "file_answer_kind_is_known": lambda r: r.answered(kind="lost"),
    "file_answer_says_what": lambda r: r.answered(text=""),
    "ticket_one_open": lambda r: build.ticket(r.truck, r.who),
    "ticket_state_is_known": lambda r: type(r.ticket).objects.filter(pk=r.ticket.pk).update(
        state="lost"),
    "ticket_closed_has_moment": lambda r: type(r.ticket).objects.filter(pk=r.ticket.pk).update(
        state="closed"),
    "line_once_at_joint": twice(lambda r: build.line(r.ticket, r.end)),
    "line_once_on_vehicle": twice(lambda r: build.line(r.ticket, None, action="set_toe")),
    "line_state_is_known": lambda r: build.line(r.ticket, r.end, state="lost"),
    "torque_positive": lambda r: r.torque(torque_nm=0),
    "torque_extension_not_negative": lambda r: r.torque(extension_m=-0.01),
    "torque_has_an_origin": lambda r: r.without_origin(),
    "failed_road_test_says_what": lambda r: r.failed_test(),
    "hold_lifted_by_a_check": lambda r: build.hold(r.truck, r.who, lifted_at=NOW, lifted_by=r.who),
    "self_check_has_leave": lambda r: SecondCheck.objects.create(
        **r.fact(), ticket=r.ticket, vehicle=r.truck, how="self", passed=True, dry_steer=True),
    "leave_not_to_oneself": lambda r: r.leave(to=r.who),
    "leave_has_a_reason": lambda r: r.leave(reason=""),
    "leave_ends_after_it_begins": lambda r: r.leave(until=NOW),
    "leave_taken_back_says_why": lambda r: LeaveTakenBack.objects.create(
        **r.fact(), leave=r.leave(), reason=""),
    "move_first_once": twice(lambda r: r.move()),
    "move_speed_positive": lambda r: r.move(speed_m_s=0),
    "move_ends_after_it_begins": lambda r: r.move(until=NOW),
    "move_after_oscillation_says_why": lambda r: r.move(
        after_oscillation=True, tow_ruled_out=True),
    "move_taken_back_says_why": lambda r: YardMoveEnd.objects.create(
        **r.fact(), move=r.move(), how="taken_back"),
    "inspection_kind_is_known": lambda r: build.inspection(r.truck, r.who, kind="glance"),
    "finding_once": lambda r: build.finding(
        r.end, r.who, inspection=r.finding.inspection),
    "finding_code_is_known": lambda r: build.finding(r.end, r.who, "fine"),
    "finding_not_reached_has_reason": lambda r: build.finding(r.end, r.who, "not_reached"),
    "finding_tight_is_by_wrench": lambda r: build.finding(
        r.end, r.who, "tight", method="dry_steer"),
    "finding_play_positive": lambda r: build.finding(r.end, r.who, play_m=-0.001),
    "meter_value_not_negative": lambda r: type(r.reading()).objects.create(
        **r.fact(), vehicle=r.truck, value=-1, typed="-1", unit="mi", use_si=0),
    "meter_use_not_negative": lambda r: type(r.reading()).objects.create(
        **r.fact(), vehicle=r.truck, value=1, typed="1", unit="mi", use_si=-1),
    "meter_withdraws_names_one": lambda r: r.reading(kind="withdraws"),
    "pattern_once": twice(lambda r: build.pattern(r.end, [r.finding])),
    "pattern_set_aside_has_reason": lambda r: build.pattern(r.end, [], state="set_aside"),
    "person_role_is_known": lambda r: people.person("Nobody", "owner"),
    "posting_once": lambda r: Posting.objects.create(person=r.who, yard=r.yard),
    "recheck_state_is_known": lambda r: r.recheck(state="maybe"),
    "recheck_done_has_moment": lambda r: r.recheck(state="done"),
    "recheck_has_a_limit": lambda r: r.recheck(due_on=None),
    "recheck_put_off_has_reason": lambda r: r.recheck(put_off_by=r.who),
    "exception_one_standing": twice(lambda r: r.exception()),
    "exception_has_reason": lambda r: r.exception(reason=""),
    "exception_ended_has_moment": lambda r: r.exception(ended_by=r.who),
    "recheck_one_live_at_joint": twice(lambda r: r.recheck(on=r.end)),
    "recheck_one_live_on_vehicle": twice(lambda r: r.recheck(ladder="routine")),
    "request_once": twice(lambda r: StoredRequest.objects.create(
        person=r.who, key="k", verb="inspect", body_hash="0")),
    "spec_version_once": lambda r: a_spec_twice(r, is_current=False, is_target=False),
    "spec_one_current": lambda r: a_spec_twice(r, version=2, is_target=False),
    "spec_one_target": lambda r: a_spec_twice(r, origin="shop"),
    "spec_low_positive": lambda r: r.spec(low_nm=0),
    "spec_high_not_below_low": lambda r: r.spec(high_nm=1),
    "spec_target_is_current": lambda r: r.spec(is_current=False),
    "rule_version_once": lambda r: two_rules(r, is_current=False),
    "rule_one_current": lambda r: two_rules(r, version=2),
    "exposure_in_order": lambda r: r.exposure(lower_si=9, upper_si=8),
    "exposure_has_a_start": lambda r: r.exposure(turning=None),
    "interval_one_current": twice(lambda r: r.interval()),
    "interval_state_is_known": lambda r: r.interval(state="perhaps"),
    "interval_declined_has_reason": lambda r: r.interval(state="declined"),
    "interval_accepted_has_rule": lambda r: r.interval(state="accepted"),
    "interval_offer_is_allowed": lambda r: r.interval(allowed_si=None),
    "sweep_state_is_known": lambda r: swept.sweep(
        r.who, state="lost", ended_at=NOW, ended_by=r.who),
    "sweep_says_what_is_doubted": lambda r: swept.sweep(r.who, practice=""),
    "sweep_ends_after_it_begins": lambda r: swept.sweep(r.who, until=NOW - timedelta(days=31)),
    "sweep_ended_by_somebody": lambda r: swept.sweep(r.who, state="closed"),
    "sweep_one_open_of_tool": twice(lambda r: swept.sweep(r.who, of="tool", tool=r.tool)),
    "sweep_one_open_of_lot": twice(lambda r: swept.sweep(r.who, of="lot", lot="L7")),
    "sweep_one_open_of_practice": twice(lambda r: swept.sweep(r.who)),
    "sweep_joint_once": lambda r: r.swept_twice(),
    "sweep_joint_to_look_at_is_owed": lambda r: r.swept(recheck=None),
    "sweep_joint_was_touched": lambda r: r.swept(torque=None),
    "tool_low_positive": lambda r: build.tool(r.yard, "T-2", low_nm=0),
    "tool_lever_positive": lambda r: build.tool(r.yard, "T-2", lever_m=0),
    "tool_use_is_some": lambda r: build.tool_use(r.tool, r.who, uses=0),
    "tool_use_correction_says_why": lambda r: build.tool_use(
        r.tool, r.who, corrects=build.tool_use(r.tool, r.who)),
    "tool_high_above_low": lambda r: build.tool(r.yard, "T-2", high_nm=40),
    "feed_is_of_one_thing": lambda r: outward.feed(r.who, r.yard, vehicle=r.truck),
    "feed_event_once": lambda r: both(outward.feed_event, outward.feed(r.who, r.yard)),
    "delivery_once": lambda r: both(
        outward.delivery, outward.webhook(r.who, r.yard), outward.event(r.yard)),
    "delivery_state_is_known": lambda r: outward.delivery(
        outward.webhook(r.who, r.yard), state="lost"),
    "digest_hour_of_a_day": lambda r: outward.digest(r.who, r.yard, hour=24),
    "digest_once_a_day": twice(lambda r: outward.digest_sent(r.who)),
    "digest_state_is_known": lambda r: outward.digest_sent(r.who, state="lost"),
    "enrolment_ends_after_it_begins": lambda r: far.code(r.yard, r.who),
    "operation_state_is_known": lambda r: far.operation(far.tablet(r.yard), r.who, state="lost"),
    "operation_set_aside_says_why": lambda r: far.operation(
        far.tablet(r.yard), r.who, state="set_aside"),
    "read_over_once": twice(lambda r: far.read_over(r.ticket, r.who, r.tool.yard)),
    "read_over_by_two_people": lambda r: far.read_over(
        r.ticket, r.who, r.tool.yard, checker=r.who),
    "crew_comes_from_elsewhere": lambda r: r.plan.hours(crew_from=r.yard),
    "closed_day_once": twice(lambda r: r.plan.closed()),
    "day_off_in_order": lambda r: r.plan.off(last=NOW.date() - timedelta(days=1)),
    "away_in_order": lambda r: r.plan.away(last=NOW.date() - timedelta(days=1)),
    "visit_state_is_known": lambda r: r.plan.visit(state="lost"),
    "visit_bay_is_one": lambda r: r.plan.visit(bay=0),
    "visit_takes_time": lambda r: r.plan.visit(minutes=0),
    "visit_once_a_day": twice(lambda r: r.plan.visit()),
    "visit_person_once": lambda r: r.plan.named_twice(),
    "visit_work_is_one_thing": lambda r: r.plan.work(ticket=r.ticket),
    "recheck_planned_once": lambda r: r.plan.twice_planned(recheck=True),
    "ticket_planned_once": lambda r: r.plan.twice_planned(recheck=False),
    "locked_day_once": twice(lambda r: r.plan.locked()),
    "plan_run_state_is_known": lambda r: r.plan.run(state="lost"),
    "plan_run_in_order": lambda r: r.plan.run(last=NOW.date() - timedelta(days=1)),
    "plan_run_one_at_work": twice(lambda r: r.plan.over()),
    "plan_run_yard_once": lambda r: r.plan.over_twice(),
    "photo_kind_is_known": lambda r: camera.photo(r.end, r.who, kind="image/gif"),
    "photo_has_a_size": lambda r: camera.photo(r.end, r.who, width=0),
    "notice_once": twice(lambda r: Outbox.objects.create(trail=r.entry, consumer="patterns")),
    "seal_range_in_order": lambda r: Seal.objects.create(
        first_id=9, last_id=1, entries=1, digest="0", sealed_at=NOW),
}  # fmt: skip


def constraints() -> dict[str, models.BaseConstraint]:
    records = apps.get_app_config("records").get_models()
    return {rule.name: rule for model in records for rule in model._meta.constraints}


def test_every_constraint_has_its_row() -> None:
    assert set(BREAKS) == set(constraints())


def named(error: IntegrityError, name: str) -> bool:
    """Whether the database names this constraint; SQLite names columns where one is unique."""
    diagnosis = getattr(error.__cause__, "diag", None)
    if diagnosis is not None:
        return bool(diagnosis.constraint_name == name)
    unique = isinstance(constraints()[name], models.UniqueConstraint)
    return "UNIQUE" in str(error) if unique else name in str(error)


def _broken(rows: Rows, break_it: Callable[[Rows], Any]) -> None:
    with transaction.atomic():
        break_it(rows)
        connection.check_constraints()  # what would wait for the end of the transaction


def test_each_constraint_refuses_what_breaks_it(db: None, subtests: pytest.Subtests) -> None:
    rows = Rows()
    for name, break_it in BREAKS.items():
        with subtests.test(name):
            with pytest.raises(IntegrityError) as caught:
                _broken(rows, break_it)
            assert named(caught.value, name), str(caught.value)


def test_a_dropped_line_and_a_closed_ticket_make_room_for_the_next(db: None) -> None:
    rows = Rows()
    line = build.line(rows.ticket, rows.end, state="dropped", drop_reason="typed twice")
    assert build.line(rows.ticket, rows.end).pk != line.pk
    type(rows.ticket).objects.filter(pk=rows.ticket.pk).update(
        state="closed", closed_at=NOW, closed_by=rows.who
    )
    assert build.ticket(rows.truck, rows.who).pk != rows.ticket.pk


def test_a_recheck_that_is_done_makes_room_for_the_next(db: None) -> None:
    rows = Rows()
    build.recheck(rows.truck, rows.end, state="done", done_at=NOW)
    build.recheck(rows.truck, rows.end)


def test_two_vehicles_may_be_without_a_vin(db: None) -> None:
    rows = Rows()
    assert rows.vehicle().vin == build.vehicle(rows.yard, "C-3").vin == ""
    assert Vehicle.objects.count() == 3


def test_facts_keep_what_they_name(db: None) -> None:
    """Foreign keys from facts protect: the row that a fact names can't go."""
    rows = Rows()
    with pytest.raises(models.ProtectedError):
        rows.who.delete()
    with pytest.raises(models.ProtectedError):
        rows.end.delete()
    names = {
        field.remote_field.on_delete
        for model in apps.get_app_config("records").get_models()
        for field in model._meta.concrete_fields
        if field.remote_field is not None
    }
    assert names == {models.PROTECT}


def test_an_identity_stands_once(db: None) -> None:
    rows = Rows()
    uid = new_uid()
    build.finding(rows.end, rows.who, uid=uid)
    with pytest.raises(IntegrityError), transaction.atomic():
        build.finding(rows.end, rows.who, uid=uid)
    assert Finding.objects.filter(uid=uid).count() == 1


def test_a_leave_to_move_is_followed_once(db: None) -> None:
    """Two decided at the same moment can't both follow the same one."""
    rows = Rows()
    first = rows.move()
    rows.move(follows=first)
    with pytest.raises(IntegrityError), transaction.atomic():
        rows.move(follows=first)


def test_only_a_self_re_check_names_a_leave(db: None) -> None:
    rows = Rows()
    check = {"ticket": rows.ticket, "vehicle": rows.truck, "passed": True, "dry_steer": True}
    with pytest.raises(IntegrityError), transaction.atomic():
        SecondCheck.objects.create(**rows.fact(), **check, how="in_person", leave=rows.leave())
