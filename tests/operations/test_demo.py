"""The demo obeys the rules that every other record obeys, and is the same every time.

Its history is made in memory and put into the database at once, so here it is held against the
operations: judged again, closed again, and one truck's whole life lived again through them.
"""

from collections import Counter
from datetime import date, timedelta
from typing import Any

import pytest
from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, transaction
from django.test import TestCase

from fleet.calc.vin import validate_vin
from fleet.operations import closing, looks
from fleet.operations.actor import Actor, server_actor
from fleet.operations.demo import living_day, seed
from fleet.operations.errors import Refused
from fleet.operations.judge import judge
from fleet.operations.rebuild import differences
from fleet.operations.scan_fleet import scan_fleet
from fleet.reads.files import Wanted
from fleet.reads.patterns.kinds import REPEAT
from fleet.reads.rules import rules
from fleet.reads.yard_day import yard_day
from fleet.records.models import (
    Exposure,
    FileRequest,
    Finding,
    FindingCode,
    Hold,
    Inspection,
    JointFitting,
    Outbox,
    PartChange,
    Pattern,
    Person,
    Recheck,
    RoadTest,
    SecondCheck,
    Ticket,
    TicketLine,
    TorqueReading,
    TorqueTool,
    Vehicle,
    Yard,
)
from tests.operations.replay import Replay, lived

TODAY = date(2026, 11, 25)
NOW = seed._at(TODAY, seed.MORNING)
# One truck a working day or so is taken over in each yard.
A_WHILE = timedelta(days=60)
# What the operations make afresh each time, and the salt of the passwords.
DRAWN = {"uid", "gesture", "password", "enrolled_at", "stored_at"}
DRAWN |= {"token_hash", "secret"}
# How long the planner took, and when it was done.
DRAWN |= {"seconds", "ended_at"}


def quiet(_text: str) -> None:
    """Nobody listens."""


def since_apart(ticket: Ticket) -> list[str]:
    """Names of joints that were taken apart after a ticket had closed."""
    rows = JointFitting.objects.filter(
        joint__vehicle=ticket.vehicle_id, occurred_at__gt=ticket.closed_at
    )
    return [row.joint.name for row in rows.select_related("joint__kind")]


def everything() -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table but what is drawn afresh."""
    found = {}
    for model in apps.get_app_config("records").get_models():
        columns = [f.attname for f in model._meta.concrete_fields if f.name not in DRAWN]
        rows = model._default_manager.order_by("pk").values_list(*columns)
        found[model.__name__] = list(rows)
    return found


class TheDemo(TestCase):
    """A small demo: the six trucks of the living day, one year."""

    @classmethod
    def setUpTestData(cls) -> None:
        seed.seed(TODAY, say=quiet, fleet=6, years=1)

    def test_it_opens_on_a_living_day(self) -> None:
        manager = Person.objects.get(username="ines")
        day = yard_day(manager, list(Yard.objects.all()), NOW)
        assert [vehicle.unit_number for vehicle in day.held.rows] == ["A-103", "C-202"]
        assert [hold.vehicle.unit_number for hold in day.used_while_held.rows] == ["A-103"]
        assert [ticket.vehicle.unit_number for ticket in day.waiting.rows] == ["A-105"]
        assert "A-109" in {str(row.pattern.vehicle) for row in day.patterns.rows}
        due = TorqueTool.objects.get(code="CS-11")
        assert due.good_until == TODAY + timedelta(days=1)
        apart = Vehicle.objects.get(unit_number="M-303")
        assert (apart.status, apart.laid_up_on) == ("laid_up", TODAY - timedelta(days=23))
        lies_apart = apart.joints.filter(fitted="apart")
        assert {joint.kind.group for joint in lies_apart} == {"knuckles"}
        assert all(joint.fittings.get().by.username == "gus" for joint in lies_apart)
        assert day.files == Wanted(1, TODAY + timedelta(days=3))
        asked = FileRequest.objects.get()
        assert (asked.by.username, asked.vehicle.unit_number) == ("auditor", "C-205")

    def test_nothing_lies_in_the_future(self) -> None:
        assert not Finding.objects.filter(occurred_at__gt=NOW).exists()
        assert not Ticket.objects.filter(closed_at__gt=NOW).exists()
        assert not Recheck.objects.filter(done_at__gt=NOW).exists()

    def test_what_is_kept_is_what_the_facts_say(self) -> None:
        assert list(differences()) == []

    def test_every_vin_has_its_check_digit(self) -> None:
        assert all(not validate_vin(v.vin).problems for v in Vehicle.objects.all())

    def test_every_finding_is_judged_as_an_inspection_judges_it(self) -> None:
        table = rules("response")
        last: dict[int, str] = {}
        rows = Finding.objects.select_related("joint__kind", "inspection__vehicle")
        for row in rows.order_by("occurred_at", "id"):
            seen = looks.Seen(
                row.joint, looks.Look(row.joint_id, row.code, row.method, play=row.play_typed),
                degrees=row.degrees, play_m=row.play_m,
            )  # fmt: skip
            verdict = judge(
                row.inspection.vehicle, seen, table[row.joint.kind.response],
                last.get(row.joint_id) == FindingCode.MOVED,
            )  # fmt: skip
            assert (row.response, row.answer, row.limit_m) == (
                verdict.response, verdict.answer, verdict.limit_m,
            )  # fmt: skip
            if row.code not in (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED):
                last[row.joint_id] = row.code

    def test_every_sheet_would_be_taken_as_it_stands(self) -> None:
        for sheet in Inspection.objects.select_related("vehicle"):
            found = sheet.findings.select_related("torque")
            frame = looks.Frame(
                sheet.occurred_at, {j.pk: j for j in sheet.vehicle.joints.select_related("kind")},
                looks.target_specs(sheet.vehicle), TorqueTool.objects.in_bulk(),
                rules("finding"), rules("method"),
            )  # fmt: skip
            _seen, problems = looks.read(tuple(lived(row) for row in found), frame)
            assert problems == []

    def test_every_closed_ticket_could_close(self) -> None:
        closed = Ticket.objects.filter(state=Ticket.State.CLOSED)
        assert closed.exists()
        for ticket in closed:
            problems = closing.work_problems(closing.Job.of(ticket))
            # What was taken apart since was together when it closed.
            apart = set(since_apart(ticket))
            assert [one for one in problems if one.joint not in apart] == []

    def test_whoever_checked_did_no_line(self) -> None:
        assert SecondCheck.objects.exists()
        for check in SecondCheck.objects.all():
            lines = TicketLine.objects.filter(ticket=check.ticket_id)
            assert not lines.filter(entries__by=check.by).exists()
        for test in RoadTest.objects.select_related("release"):
            assert test.release.occurred_at < test.occurred_at <= test.release.until

    def test_every_hold_is_answered_by_a_ticket_or_stands(self) -> None:
        lifted = Hold.objects.exclude(lifted_at=None)
        assert lifted.exists()
        rows = lifted.values_list(
            "ticket", "lifted_at", "lifted_by_check__ticket", "ticket__closed_at"
        )
        for ticket, lifted_at, checked, closed_at in rows:
            assert (checked, closed_at) == (ticket, lifted_at)

    def test_every_call_for_work_has_its_line(self) -> None:
        calling = Finding.objects.exclude(response=Finding.Response.NOTE)
        for finding in calling.select_related("joint"):
            lines = finding.joint.lines.filter(ticket__opened_at__gte=finding.occurred_at)
            assert lines.filter(from_finding=finding).exists() or lines.exists()

    def test_scanning_it_again_finds_nothing_new(self) -> None:
        assert Exposure.objects.exists()
        assert scan_fleet(server_actor("command"), at=NOW) == 0

    def test_every_joint_that_came_loose_again_was_found_by_the_scan(self) -> None:
        assert Pattern.objects.filter(kind=REPEAT).exists()
        for pattern in Pattern.objects.filter(kind=REPEAT):
            found = Finding.objects.filter(pk__in=pattern.evidence["findings"])
            assert set(found.values_list("joint_id", flat=True)) == {pattern.joint_id}

    def test_every_truck_was_taken_over_with_each_bolted_joint_on_the_wrench(self) -> None:
        for vehicle in Vehicle.objects.exclude(unit_number=living_day.APART):
            bar = vehicle.joints.filter(kind__code="track_bar_frame_end")
            first = TorqueReading.objects.filter(joint__in=bar).order_by("occurred_at", "id")[0]
            assert first.turned
            begun = vehicle.readings.earliest("occurred_at").occurred_at
            assert first.occurred_at - begun < A_WHILE

    def test_parts_from_the_old_file_have_their_age(self) -> None:
        old = PartChange.objects.filter(line_entry=None).select_related("joint__vehicle")
        assert old.exists()
        for part in old:
            first = part.joint.vehicle.readings.earliest("occurred_at")
            assert part.occurred_at <= first.occurred_at
            assert 0 <= (part.use_si or 0) <= first.use_si

    def test_wrenches_were_in_date_and_reached_their_figure(self) -> None:
        for reading in TorqueReading.objects.select_related("tool", "joint__kind"):
            assert reading.tool_in_date
            assert reading.tool.low_nm <= reading.torque_nm <= reading.tool.high_nm

    def test_what_waits_in_the_outbox_is_of_the_last_weeks(self) -> None:
        waiting = Outbox.objects.values_list("trail__at", flat=True)
        assert all(NOW - at < timedelta(days=30) for at in waiting)

    def test_a_truck_lived_again_through_the_operations_comes_out_the_same(self) -> None:
        for unit in ("C-205", "A-109"):
            made = Vehicle.objects.get(unit_number=unit)
            again = Replay.of(made, Actor(Person.objects.get(username="ines"))).run()
            assert again.findings() == Replay.findings_of(made)
            assert again.rechecks() == Replay.rechecks_of(made)
            assert again.tickets() == Replay.tickets_of(made)
            assert again.holds() == Replay.holds_of(made)


def count_from_the_start() -> None:
    """An empty database counts its ids from one; PostgreSQL's counters survive a rollback."""
    models = list(apps.get_app_config("records").get_models())
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)


class TheSameAgain(TestCase):
    """Two trucks, one year."""

    def test_the_same_day_gives_the_same_data(self) -> None:
        first, again = self.seeded(), self.seeded()
        assert Counter({name: len(rows) for name, rows in first.items()}) == Counter(
            {name: len(rows) for name, rows in again.items()}
        )
        assert first == again

    def test_only_an_empty_database_is_filled(self) -> None:
        Yard.objects.create(name="Somebody's", slug="somebodys")
        with pytest.raises(Refused):
            seed.seed(TODAY, say=quiet, fleet=2, years=1)

    def seeded(self) -> dict[str, list[tuple[Any, ...]]]:
        """Everything that a seeding makes; the database is empty again afterwards."""
        point = transaction.savepoint()
        count_from_the_start()
        seed.seed(TODAY, say=quiet, fleet=2, years=1)
        found = everything()
        transaction.savepoint_rollback(point)
        return found
