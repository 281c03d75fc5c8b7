"""The order of looking for one complaint: practice's weights, what the driver could tell, and what
this fleet found behind like complaints.

Counted over the whole fleet and not within the reader's yards: a yard with three tickets learns
from the thirty of the others, and a count tells no private thing. No vehicle, person or yard of
another scope is named, and nothing leads there.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Case, Count, Exists, F, OuterRef, Q, QuerySet, When

from fleet.calc.triage import Suspect, rank_suspects
from fleet.reads.joints import GROUPS
from fleet.reads.rules import rules
from fleet.records.base import in_language
from fleet.records.models import Complaint, Joint, JointKind, Ticket, TicketLine, TorqueReading
from fleet.records.tickets import MENDS_NOTHING

# What is asked of a complaint that no rule knows.
NOTHING: dict[str, Any] = {"order": []}


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
    data = now.data if now else NOTHING
    rows = {row["kind"]: row for row in data["order"]}
    fitted = Joint.objects.filter(vehicle=complaint.vehicle_id)
    joints = list(fitted.exclude(fitted=Joint.Fitted.NOT_FITTED).select_related("kind"))
    like = Ticket.objects.filter(complaint__kind=complaint.kind, state=Ticket.State.CLOSED).exclude(
        complaint=complaint
    )
    counts = _found_behind(like, {complaint.kind: list(rows)}, "kind").get(complaint.kind, {})
    told = _told(data, complaint)
    steps = _steps(complaint, data, joints, counts)
    seen = {joint.pk for step in steps for joint in step.joints}
    return OrderOfLooking(
        steps=steps,
        rest=[joint for joint in joints if joint.pk not in seen],
        like=like.count(),
        tells=[in_language(one["says"]) for one in told if not one.get("grave")],
        grave=[in_language(one["says"]) for one in told if one.get("grave")],
        basis=now.source if now else "",
    )


def orders_of_looking(
    complaints: Sequence[Complaint], joints: Mapping[int, list[Joint]]
) -> dict[int, list[LookStep]]:
    """The order for each of many complaints, by its id; `joints` are those fitted, by vehicle.

    Three queries, however many complaints, tickets and joints.
    """
    table = {key: now.data for key, now in rules("complaint").items()}
    kinds = {one.kind for one in complaints}
    keys = {kind: [row["kind"] for row in table.get(kind, NOTHING)["order"]] for kind in kinds}
    closed = Ticket.objects.filter(state=Ticket.State.CLOSED)
    every = _found_behind(closed.filter(complaint__kind__in=kinds), keys, "kind")
    own = _found_behind(closed.filter(complaint__in=[one.pk for one in complaints]), keys, "id")
    return {
        one.pk: _steps(
            one, table.get(one.kind, NOTHING), joints.get(one.vehicle_id, []),
            _less(every.get(one.kind, {}), own.get(one.pk, {})),
        )
        for one in complaints
    }  # fmt: skip


def _less(every: Mapping[str, int], own: Mapping[str, int]) -> dict[str, int]:
    """What a complaint's own tickets found tells nothing of others."""
    left = {key: count - own.get(key, 0) for key, count in every.items()}
    return {key: count for key, count in left.items() if count}


def _steps(
    complaint: Complaint, data: Any, joints: list[Joint], counts: Mapping[str, int]
) -> list[LookStep]:
    rows = {row["kind"]: row for row in data["order"]}
    here, first = _by_suspect(joints, rows, counts), data.get("first", [])
    return [
        _step(suspect, here[suspect.key], rows.get(suspect.key), suspect.key in first)
        for suspect in _ranked(here, rows, _told(data, complaint), counts, first)
    ]


def _told(data: Any, complaint: Complaint) -> list[Any]:
    return [one for one in data.get("tells", []) if _fits(one["when"], complaint)]


def _found_behind(
    like: QuerySet[Ticket], keys: Mapping[str, list[str]], by: str
) -> dict[Any, dict[str, int]]:
    """By the complaint's `kind` or `id` and by suspect, the tickets where work mended there.

    A wrench that turned nothing found nothing. One ticket counts once for a suspect. `keys` are
    the suspects of each kind of complaint; any other joint goes by its group.
    """
    still = Exists(TorqueReading.objects.filter(line_entry=OuterRef("entry"), turned=False))
    named = [
        When(ticket__complaint__kind=kind, joint__kind__code__in=codes,
             then=F("joint__kind__code"))
        for kind, codes in keys.items() if codes
    ]  # fmt: skip
    suspect = Case(*named, default=F("joint__kind__group"))
    rows = (
        TicketLine.objects.filter(
            ticket__in=like, state=TicketLine.State.CLOSED, joint__isnull=False
        )
        .exclude(action__in=MENDS_NOTHING)
        .exclude(Q(action="retorque") & still)
        .order_by().values(felt=F(f"ticket__complaint__{by}"), suspect=suspect)
        .annotate(found=Count("ticket", distinct=True))
    )  # fmt: skip
    found: dict[Any, dict[str, int]] = defaultdict(dict)
    for felt, key, count in rows.values_list("felt", "suspect", "found"):
        found[felt][key] = count
    return found


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
