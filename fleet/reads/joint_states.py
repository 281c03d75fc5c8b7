"""The state of each joint, worked out from its facts: as they are, or as they were at a moment.

Keeping, rebuilding and looking back are one function, so that rebuilt equals kept whatever came
late, and the file of a past day is judged by no second rule.
"""

from datetime import datetime
from typing import Any, TypeVar

from django.db.models import Count, Exists, IntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from fleet.reads.cut import HAPPENED, NOW, Cut
from fleet.records.base import Fact
from fleet.records.inspections import LOOSE, mark_of
from fleet.records.models import (
    Finding,
    FindingCode,
    Joint,
    JointFitting,
    JointState,
    Mark,
    PartChange,
    Recheck,
    TorqueReading,
    TrailEntry,
)

Told = TypeVar("Told", Finding, TorqueReading, Recheck)
AnyFact = TypeVar("AnyFact", bound=Fact)
SAYS_NOTHING = (FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)
# The columns that a state is worked out from.
TOLD_BY_FINDING = ("occurred_at", "use_si", "code")
TOLD_BY_TORQUE = ("occurred_at", "use_si", "line_entry")
TOLD_BY_RECHECK = ("started_at", "due_on", "start_use_si", "due_use_si")


def work_out(joint_ids: list[int], cut: Cut = NOW) -> list[JointState]:
    """The state that the facts say, not saved. Four queries, however many joints."""
    seen = list(_seen(joint_ids, cut))
    findings = _told(Finding, TOLD_BY_FINDING, [j.finding for j in seen])
    torques = _told(TorqueReading, TOLD_BY_TORQUE, [i for j in seen for i in (j.torque, j.turned)])
    rechecks = _told(Recheck, TOLD_BY_RECHECK, [j.recheck for j in seen])
    return [
        _state(
            joint,
            findings.get(joint.finding),
            torques.get(joint.torque),
            torques.get(joint.turned),
            rechecks.get(joint.recheck),
        )
        for joint in seen
    ]


def _told(model: type[Told], columns: tuple[str, ...], ids: list[int | None]) -> dict[int, Told]:
    """The rows that were named, with these columns alone."""
    rows = model._default_manager.only(*columns).order_by()
    return rows.in_bulk({pk for pk in ids if pk is not None})


FIELDS = [
    field.name for field in JointState._meta.concrete_fields if field.name not in ("id", "joint")
]


def _state(
    joint: Any,
    finding: Finding | None,
    torque: TorqueReading | None,
    turned: TorqueReading | None,
    recheck: Recheck | None,
) -> JointState:
    row = JointState(joint_id=joint.pk, part_id=joint.part)
    row.mark = _mark(_since(finding, joint.taken_at), _since(torque, joint.taken_at))
    row.loosenings, row.last_torque = joint.loosenings, torque
    row.last_finding = finding
    if finding is not None:
        row.last_look_at, row.last_look_use_si = finding.occurred_at, finding.use_si
    turned = _since(turned, joint.taken_at)
    if turned is not None:
        row.last_turned_at, row.last_turned_use_si = turned.occurred_at, turned.use_si
    row.due_recheck = recheck
    if recheck is not None:
        row.interval_from, row.interval_to_on = recheck.started_at, recheck.due_on
        row.interval_from_use_si = recheck.start_use_si
        row.interval_to_use_si = recheck.due_use_si
    return row


def _since(fact: AnyFact | None, taken_at: datetime | None) -> AnyFact | None:
    """What was seen before a joint was taken apart, or off, says nothing of it now."""
    if fact is None or (taken_at is not None and fact.occurred_at < taken_at):
        return None
    return fact


def _mark(finding: Finding | None, torque: TorqueReading | None) -> str:
    """A repair's wrench after the last look says tight; else what the last look said."""
    if (
        torque is not None
        and torque.line_entry_id is not None
        and (finding is None or torque.occurred_at >= finding.occurred_at)
    ):
        return Mark.TIGHT
    if finding is None:
        return Mark.UNKNOWN
    return mark_of(finding.code)


def _seen(joint_ids: list[int], cut: Cut) -> Any:
    """Joints with the ids of the facts that make their state; one query."""
    here = OuterRef("pk")
    found = cut.of(Finding.objects.filter(joint=here))
    findings = found.exclude(code__in=SAYS_NOTHING)
    torques = cut.of(TorqueReading.objects.filter(cut.stands(), joint=here))
    turned = torques.filter(Q(turned=True) | Q(assembled=True))
    loose = found.filter(code__in=LOOSE).order_by().values("joint")
    live = live_rechecks(cut).filter(joint=here)
    parts = cut.of(PartChange.objects.filter(cut.stands(), joint=here, fitted=True))
    taken = cut.of(JointFitting.objects.filter(joint=here)).exclude(fitted=Joint.Fitted.FITTED)
    return Joint.objects.filter(pk__in=joint_ids).annotate(
        finding=_last(findings),
        torque=_last(torques),
        turned=_last(turned),
        part=_last(parts),
        loosenings=Coalesce(
            Subquery(loose.annotate(n=Count("pk")).values("n"), output_field=IntegerField()), 0
        ),
        taken_at=_last(taken, "occurred_at"),
        recheck=Subquery(live.order_by("falls_on", "id").values("pk")[:1]),
    )


def _last(rows: Any, column: str = "pk") -> Subquery:
    return Subquery(rows.order_by("-occurred_at", "-id").values(column)[:1])


def live_rechecks(cut: Cut = NOW) -> QuerySet[Recheck]:
    """What is owed: made, and neither done nor dropped. What was owed at a moment is told by the
    trail, which keeps when the server was told of each step."""
    if cut.before is None:
        return Recheck.objects.filter(state__in=Recheck.LIVE)
    steps = TrailEntry.objects.filter(subject="recheck", subject_id=OuterRef("pk"))
    late = steps.filter(verb="make_recheck", received_at__gte=cut.before)
    over = cut.told("do_recheck", "drop_recheck").filter(
        subject="recheck", subject_id=OuterRef("pk")
    )
    rows = Recheck.objects.filter(~Exists(over), started_at__lt=cut.before)
    if cut.basis == HAPPENED:
        return rows.exclude(done_at__lt=cut.before)
    return rows.filter(~Exists(late))


def done_rechecks(cut: Cut = NOW) -> QuerySet[Recheck]:
    """What was owed and had been done."""
    rows = Recheck.objects.filter(cut.by("done_at"))
    if cut.before is None or cut.basis == HAPPENED:
        return rows
    return rows.filter(pk__in=cut.told("do_recheck").filter(subject="recheck").values("subject_id"))


def fitted_now(joint_ids: list[int], cut: Cut = NOW) -> dict[int, str]:
    """What the last fitting of each joint says; a joint of which none does is fitted."""
    last = _last(cut.of(JointFitting.objects.filter(joint=OuterRef("pk"))), "fitted")
    rows = Joint.objects.filter(pk__in=joint_ids).annotate(last=last).order_by()
    return {pk: fitted or Joint.Fitted.FITTED for pk, fitted in rows.values_list("pk", "last")}
