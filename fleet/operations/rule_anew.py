"""What is owed by a rule, made anew under its next version: only where a manager asks for it.

What has a time of its own keeps it: shortened after it moved, put off, by an exception or an
accepted interval, brought forward. What is missed stays missed: no rule wipes out a debt.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from fleet.calc.calendar import local_date
from fleet.operations import projection, rechecks, state
from fleet.operations.moves import changed_under_you
from fleet.operations.rechecks import Start
from fleet.operations.work import Work
from fleet.reads.rule_shapes import ANNUAL, Shape
from fleet.reads.rules import WEIGHTS, RuleNow, by_weight, rules, stands
from fleet.records.models import Person, Recheck, Rule, SweepJoint, Vehicle, VehicleUse

CHUNK = 2_000
Limits = tuple[date | None, int | None]


@dataclass(frozen=True)
class Redrawn:
    """One thing owed: as it is, and as the new rule would have it; None where it keeps its own.

    `falls_on` is the date by the rule alone; what is late by it falls due on the day it is made.
    """

    row: Recheck
    new: Recheck | None
    falls_on: date | None = None
    late: bool = False


def under(person: Person, shape: Shape) -> QuerySet[Recheck]:
    """What is owed by a rule in the person's yards, missed or not; none of what has left."""
    rows = Recheck.visible_to(person).filter(state__in=Recheck.LIVE)
    rows = rows.exclude(vehicle__status=Vehicle.Status.OUT)
    if shape.kind == "ladder":
        return rows.filter(ladder=shape.key)
    if shape.kind != "routine":
        return rows.none()
    if shape.key == ANNUAL:
        return rows.filter(ladder=ANNUAL)
    return rows.filter(_going_by(shape.key), ladder=Recheck.Kind.ROUTINE)


def _going_by(key: str) -> Q:
    """The vehicles that go by a routine rule: of a duty less the weight classes of their own."""
    duty, _dash, weight = key.partition("-")
    wanted = Q(vehicle__duty=duty)
    if weight:
        return wanted & _of_weight(weight)
    on_file = rules("routine")
    for other in WEIGHTS:
        own = on_file.get(by_weight(duty, other))
        if own is not None and stands(own):
            wanted &= ~_of_weight(other) | Q(vehicle__gross_weight_kg__isnull=True)
    return wanted


def _of_weight(weight: str) -> Q:
    names = list(WEIGHTS)
    most = WEIGHTS[weight][0]
    place = names.index(weight)
    least = WEIGHTS[names[place - 1]][0] if place else -1
    wanted = Q(vehicle__gross_weight_kg__gt=least)
    return wanted if most is None else wanted & Q(vehicle__gross_weight_kg__lte=most)


def ladder_of(shape: Shape, data: dict[str, object], version: int) -> RuleNow:
    """The rule as rechecks are drafted by it."""
    rule = RuleNow(shape.key, version, data)
    return rechecks.standing(shape.key, rule) if shape.kind == "routine" else rule


def next_ladder(shape: Shape, data: dict[str, object], version: int) -> RuleNow:
    """What its rechecks go by from then on: a weight class without its own rule by its duty's."""
    if data.get("stands", True):
        return ladder_of(shape, data, version)
    duty = rules("routine")[shape.key.partition("-")[0]]
    return ladder_of(shape, duty.data, duty.version)


def redrawn(
    rows: Iterable[Recheck], ladder: RuleNow, shape: Shape, at: datetime
) -> Iterator[Redrawn]:
    """Each with its vehicle, yard and use read; one query for the versions before."""
    before = _versions(shape)
    for row in rows:
        if row.state != Recheck.State.OWED or not _by_its_rule(row, before):
            yield Redrawn(row, None)
            continue
        yield redraw(row, ladder, at)


def redraw(row: Recheck, ladder: RuleNow, at: datetime) -> Redrawn:
    """As another rule would have made it, from where it began."""
    if row.rung >= len(ladder.data["rungs"]):
        return Redrawn(row, None)
    vehicle, use = row.vehicle, _use(row.vehicle)
    new = _draft(row, ladder)
    by_rule, today = new.falls_on, local_date(at, vehicle.yard.time_zone)
    late = by_rule < today and vehicle.status == Vehicle.Status.IN_SERVICE
    if late:
        # Nothing is late before it was made: it falls due on this day, at this meter.
        new.due_on = max(new.due_on, today) if new.due_on else None
        if new.due_use_si is not None and use is not None and use.last_use_si is not None:
            new.due_use_si = max(new.due_use_si, use.last_use_si)
        projection.place(new, vehicle, use)
        new.falls_on = max(new.falls_on, today)
    return Redrawn(row, new, by_rule, late)


def _draft(row: Recheck, ladder: RuleNow) -> Recheck:
    new = rechecks.drafted(row.vehicle, ladder, Start(row.started_at, row.start_use_si),
                           _use(row.vehicle), rung=row.rung)  # fmt: skip
    new.joint_id, new.assigned_to_id = row.joint_id, row.assigned_to_id
    new.made_by_line_id, new.made_by_finding_id = row.made_by_line_id, row.made_by_finding_id
    new.follows_id, new.looked_by_finding_id = row.follows_id, row.looked_by_finding_id
    new.driven_by_id = row.driven_by_id
    if row.kind == Recheck.Kind.SWEEP:
        # How a sweep's look is made, and whether it holds, is by its joint and not by the rule.
        new.methods, new.hold_at_twice = row.methods, row.hold_at_twice
    return new


def _use(vehicle: Vehicle) -> VehicleUse | None:
    return getattr(vehicle, "use", None)


def _versions(shape: Shape) -> list[RuleNow]:
    """What the rule has said so far; for a routine, also what the others of its duty have."""
    keys = Q(key=shape.key)
    if shape.kind == "routine" and shape.key != ANNUAL:
        keys = Q(key__startswith=shape.key.partition("-")[0])
    rows = Rule.objects.filter(keys, kind=shape.kind).order_by("pk")
    return [ladder_of(shape, row.data, row.version) for row in rows]


def _by_its_rule(row: Recheck, before: list[RuleNow]) -> bool:
    """Whether its limits are those of the version that it was made by."""
    if row.put_off_by_id or row.exception_id or row.interval_id:
        return False
    mine: Limits = (row.due_on, row.due_use_si)
    return any(
        mine == _limits(row, one)
        for one in before
        if one.version == row.rule_version and row.rung < len(one.data["rungs"])
    )


def _limits(row: Recheck, ladder: RuleNow) -> Limits:
    one = rechecks.limits_of(row, row.vehicle, ladder.data["rungs"][row.rung])
    return one.due_on, one.due_use_si


def of_rule(work: Work, shape: Shape, rule: Rule) -> int:
    """Make anew what is owed by a rule in the actor's yards; returns how many."""
    rows = under(work.actor.person, shape)
    work.lock_versions(rows.values_list("vehicle_id", flat=True).distinct())
    ladder = next_ladder(shape, rule.data, rule.version)
    found = redrawn(with_vehicles(rows), ladder, shape, work.at)
    return store(work, [one for one in found if moves(one)], "made anew: the rule changed")


def with_vehicles(rows: QuerySet[Recheck]) -> QuerySet[Recheck]:
    """With what a draft needs of each."""
    return rows.select_related("vehicle__yard", "vehicle__use").order_by("pk")


def moves(one: Redrawn) -> bool:
    """Whether the new rule has another date or use for it."""
    new, row = one.new, one.row
    if new is None:
        return False
    return (new.due_on, new.due_use_si) != (row.due_on, row.due_use_si)


def store(work: Work, found: list[Redrawn], reason: str) -> int:
    """Drop the old ones and make the new, with both steps of each in the trail."""
    for start in range(0, len(found), CHUNK):
        some = found[start : start + CHUNK]
        old = Recheck.objects.filter(pk__in=[one.row.pk for one in some], state=Recheck.State.OWED)
        if old.update(state=Recheck.State.DROPPED, drop_reason=reason) != len(some):
            raise changed_under_you(_("What is owed"))
        made = [one.new for one in some if one.new is not None]
        Recheck.objects.bulk_create(made)
        _stay_on_their_sweeps(some)
        work.trail_written(entry for one in some for entry in _told(work, one, reason))
        state.refresh([row.joint_id for row in made if row.joint_id])
    return len(found)


def _stay_on_their_sweeps(found: list[Redrawn]) -> None:
    """A sweep goes by the new row: its joint was not worked on when the old one was dropped."""
    new = {one.row.pk: one.new for one in found if one.row.kind == Recheck.Kind.SWEEP}
    listed = list(SweepJoint.objects.filter(recheck__in=new))
    for row in listed:
        row.recheck = new[row.recheck_id or 0]
    SweepJoint.objects.bulk_update(listed, ["recheck"])


def _told(work: Work, one: Redrawn, reason: str) -> Iterator[list[object]]:
    vehicle, new = one.row.vehicle, one.new
    yield work.entry_written("drop_recheck", one.row, vehicle=vehicle, reason=reason,
                             before={"falls_on": str(one.row.falls_on)})  # fmt: skip
    if new is not None:
        yield work.entry_written("make_recheck", new, vehicle=vehicle,
                                 after=rechecks.said_of(new))  # fmt: skip
