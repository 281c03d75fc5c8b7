"""The order of looking for one complaint: practice's weights, what the driver could tell, and what
this fleet found behind like complaints.

Counted over the whole fleet and not within the reader's yards: a yard with three tickets learns
from the thirty of the others, and a count tells no private thing. No vehicle, person or yard of
another scope is named, and nothing leads there.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Case, Count, Exists, F, OuterRef, Q, QuerySet, When

from fleet.calc.triage import Suspect, rank_suspects
from fleet.reads.joints import GROUPS
from fleet.reads.rules import rules
from fleet.records.base import in_language
from fleet.records.models import Complaint, Joint, JointKind, Ticket, TicketLine, TorqueReading
from fleet.records.tickets import MENDS_NOTHING


@dataclass(frozen=True)
class LookStep:
    """One suspect on this vehicle: a kind of joint, or a group of them.

    `prior` is its share by practice and by what the driver told, `share` with the finds too; both
    among what this vehicle has. `found` counts the like tickets that it was found behind.
    """

    key: str
    title: Any
    joints: list[Joint]
    prior: float
    found: int
    share: float
    reason: str
    # Looked at before all others, whatever was found.
    first: bool


@dataclass(frozen=True)
class OrderOfLooking:
    """`like` is how many tickets of like complaints the fleet has closed, this one left out."""

    steps: list[LookStep]
    rest: list[Joint]
    like: int
    tells: list[str]
    grave: list[str]
    basis: str


def order_of_looking(complaint: Complaint) -> OrderOfLooking:
    """Four queries, however many tickets and joints."""
    now = rules("complaint").get(complaint.kind)
    data = now.data if now else {"order": []}
    rows = {row["kind"]: row for row in data["order"]}
    fitted = Joint.objects.filter(vehicle=complaint.vehicle_id)
    joints = list(fitted.exclude(fitted=Joint.Fitted.NOT_FITTED).select_related("kind"))
    like = Ticket.objects.filter(complaint__kind=complaint.kind, state=Ticket.State.CLOSED).exclude(
        complaint=complaint
    )
    counts = _found_behind(like, list(rows))
    told = [one for one in data.get("tells", []) if _fits(one["when"], complaint)]
    here = _by_suspect(joints, rows, counts)
    first = data.get("first", [])
    steps = [
        _step(suspect, here[suspect.key], rows.get(suspect.key), suspect.key in first)
        for suspect in _ranked(here, rows, told, counts, first)
    ]
    seen = {joint.pk for step in steps for joint in step.joints}
    return OrderOfLooking(
        steps=steps,
        rest=[joint for joint in joints if joint.pk not in seen],
        like=like.count(),
        tells=[in_language(one["says"]) for one in told if not one.get("grave")],
        grave=[in_language(one["says"]) for one in told if one.get("grave")],
        basis=now.source if now else "",
    )


def _found_behind(like: QuerySet[Ticket], keys: list[str]) -> dict[str, int]:
    """By suspect, the tickets on which work that mends was done there.

    A wrench that turned nothing found nothing. One ticket counts once for a suspect.
    """
    still = Exists(TorqueReading.objects.filter(line_entry=OuterRef("entry"), turned=False))
    suspect = Case(When(joint__kind__code__in=keys, then=F("joint__kind__code")),
                   default=F("joint__kind__group"))  # fmt: skip
    rows = (
        TicketLine.objects.filter(
            ticket__in=like, state=TicketLine.State.CLOSED, joint__isnull=False
        )
        .exclude(action__in=MENDS_NOTHING)
        .exclude(Q(action="retorque") & still)
        .order_by().values(suspect=suspect).annotate(found=Count("ticket", distinct=True))
    )  # fmt: skip
    return dict(rows.values_list("suspect", "found"))


def _fits(when: Mapping[str, bool], complaint: Complaint) -> bool:
    """What the driver was not asked fits nothing."""
    return all(getattr(complaint, name, None) is said for name, said in when.items())


def _suspect_of(kind: JointKind, keys: Mapping[str, Any]) -> str:
    return kind.code if kind.code in keys else kind.group


def _by_suspect(
    joints: list[Joint], rows: Mapping[str, Any], counts: Mapping[str, int]
) -> dict[str, list[Joint]]:
    """This vehicle's joints by suspect: those that practice names, and those that were found."""
    here: dict[str, list[Joint]] = {}
    for joint in joints:
        key = _suspect_of(joint.kind, rows)
        if key in rows or key in counts:
            here.setdefault(key, []).append(joint)
    return here


def _ranked(
    here: Mapping[str, list[Joint]], rows: Mapping[str, Any], told: list[Any],
    counts: Mapping[str, int], first: list[str],
) -> tuple[Suspect[str], ...]:  # fmt: skip
    """What a vehicle does not have takes no share of what it has."""
    prior = {key: float(row["weight"]) for key, row in rows.items() if key in here}
    for one in told:
        prior = {key: weight * one["times"].get(key, 1) for key, weight in prior.items()}
    if not prior:
        return ()
    return rank_suspects(prior, {key: counts[key] for key in here if key in counts}, first=first)


def _step(suspect: Suspect[str], joints: list[Joint], row: Any, first: bool) -> LookStep:
    return LookStep(
        key=suspect.key,
        title=GROUPS.get(suspect.key) or joints[0].kind.name,
        joints=joints,
        prior=suspect.prior,
        found=int(suspect.count),
        share=suspect.share,
        reason=in_language(row["reason"]) if row else "",
        first=first,
    )
