"""A joint's life along its dates: looks with their marks, torques, parts, holds and rechecks."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext, ngettext

from fleet.calc.units import convert
from fleet.pictures.mark import MUST_ACT, SHAPES
from fleet.pictures.plots import Gauge, Lane, Life, Reading, Sign, Stay, Stretch, day_of
from fleet.reads.due import last_use_si
from fleet.reads.joint_life import JointLife
from fleet.reads.said import meter, torque
from fleet.records.inspections import LOOSE, mark_of
from fleet.records.models import (
    Finding,
    Hold,
    Joint,
    PartChange,
    Recheck,
    TorqueReading,
)

_ROOM = 0.03
_LEAST_ROOM_DAYS = 10.0
# What is owed further ahead than this share of the life so far would press the life together.
_AHEAD = 0.35
_LEAST_AHEAD_DAYS = 120.0


def holds_at(joint: Joint) -> QuerySet[Hold]:
    """Every hold placed for this joint, open or lifted."""
    return Hold.objects.filter(joint=joint).order_by("placed_at", "id")


@dataclass(frozen=True)
class JointEvents:
    """All that a joint's life is drawn of, by what was known on the day it is drawn for.

    Findings are newest first. Holds are from when until when, if it was known; what was owed has
    the day on which it falls due, where that was known, and whether it was late.
    """

    findings: Sequence[Finding]
    torques: Sequence[TorqueReading]
    parts: Sequence[PartChange]
    holds: Sequence[tuple[datetime, datetime | None]]
    owed: Sequence[tuple[date | None, bool]]
    done: Sequence[Recheck]
    meter_unit: str
    use_now: int | None


def joint_picture(
    life: JointLife,
    holds: Sequence[Hold],
    units: str,
    now: datetime,
) -> Life | None:
    """The picture, or None while nothing was ever recorded of the joint; no query."""
    vehicle = life.row.joint.vehicle
    events = JointEvents(
        findings=life.findings,
        torques=life.torques,
        parts=life.parts,
        holds=[(one.placed_at, one.lifted_at) for one in holds],
        owed=[(item.recheck.falls_on, item.late) for item in life.owed],
        done=life.past_rechecks,
        meter_unit=vehicle.meter_unit,
        use_now=last_use_si(vehicle),
    )
    return life_of(events, units, _on(now))


def life_of(events: JointEvents, units: str, today: float) -> Life | None:
    """The same of what was known on a day, which is a place of `day_of`."""
    lanes = [
        Lane(gettext("Found"), _looks(events.findings)),
        Lane(gettext("Torque"), gauge=_torques(events.torques, units, today)),
        _parts(events.parts),
        Lane(gettext("Held"), stays=_holds(events.holds, today)),
        _rechecks(events, today),
    ]
    lanes = [lane for lane in lanes if not lane.is_empty]
    days = _days(lanes)
    if not days:
        return None
    first, last = _reach(days, today)
    ends = (_first_use(events), events.use_now)
    texts = ["" if use is None else meter(use, events.meter_unit) for use in ends]
    return Life(
        key="joint-life",
        name=gettext("The joint's life"),
        says=joint_sentence(events),
        first=date.fromordinal(int(first)),
        last=date.fromordinal(int(last)),
        lanes=lanes,
        ends=(texts[0], texts[1]),
        today=today,
        symbols=SHAPES,
    )


def joint_sentence(events: JointEvents) -> str:
    """What the picture says, in one sentence."""
    loose = sum(one.code in LOOSE for one in events.findings)
    out = sum(one.band in ("below", "above") for one in events.torques)
    looks, pulls, holds = len(events.findings), len(events.torques), events.holds
    told = [
        ngettext("Looked at once", "Looked at %(n)d times", looks) % {"n": looks},
        ngettext("found loose once", "found loose %(n)d times", loose) % {"n": loose}
        if loose
        else gettext("never found loose"),
        ngettext("torqued once", "torqued %(n)d times", pulls) % {"n": pulls},
    ]
    if out:
        told[-1] += " " + gettext("(%(n)d out of its band)") % {"n": out}
    if holds:
        told.append(ngettext("one hold", "%(n)d holds", len(holds)) % {"n": len(holds)})
    owed = len(events.owed)
    if owed:
        told.append(ngettext("one recheck owed", "%(n)d rechecks owed", owed) % {"n": owed})
    else:
        told.append(gettext("no recheck owed"))
    return ", ".join(told) + "."


def _on(moment: datetime) -> float:
    return day_of(timezone.localtime(moment).date())


def _looks(findings: Iterable[Finding]) -> list[Sign]:
    """Each by its mark; only the newest look can ask somebody to act."""
    found = []
    for nth, one in enumerate(findings):
        mark = mark_of(one.code)
        found.append(Sign(_on(one.occurred_at), mark, act=not nth and mark in MUST_ACT))
    return found


def _torques(torques: Sequence[TorqueReading], units: str, today: float) -> Gauge | None:
    """Each at its figure: a diamond assembled it, a dot turned it, a ring clicked unmoved."""
    rows = sorted(torques, key=lambda one: (one.occurred_at, one.pk))
    if not rows:
        return None
    unit = "N·m" if units == "metric" else "lbf·ft"
    readings = [
        Reading(
            _on(one.occurred_at),
            convert(one.torque_nm, "N·m", unit),
            shape="diamond" if one.assembled else "circle",
            solid=one.turned,
            act=one is rows[-1] and one.band in ("below", "above"),
        )
        for one in rows
    ]
    stretches = _bands(rows, unit, max(today, _on(rows[-1].occurred_at)))
    last = rows[-1].spec
    sides_said = (torque(last.low_nm, units), torque(last.high_nm, units)) if last else ("", "")
    return Gauge(readings, stretches, *sides_said)


def _bands(rows: Sequence[TorqueReading], unit: str, end: float) -> list[Stretch]:
    """What torques were held against: from the first under a figure to the first under another."""
    runs = [list(run) for _spec, run in groupby(rows, key=lambda one: one.spec_id)]
    ends = [*[_on(run[0].occurred_at) for run in runs[1:]], end]
    return [
        Stretch(_on(run[0].occurred_at), to, *(convert(side, "N·m", unit) for side in sides))
        for run, to in zip(runs, ends, strict=True)
        if (spec := run[0].spec) is not None and (sides := (spec.low_nm, spec.high_nm))
    ]


def _parts(parts: Iterable[PartChange]) -> Lane:
    rows = list(parts)
    signs = [Sign(_on(one.occurred_at), "triangle", solid=one.fitted) for one in rows]
    texts = [
        (_on(one.occurred_at), " ".join(text for text in (one.number, one.lot) if text))
        for one in rows
        if one.fitted
    ]
    return Lane(gettext("Part fitted"), signs, texts=texts)


def _holds(holds: Iterable[tuple[datetime, datetime | None]], today: float) -> list[Stay]:
    return [
        Stay(_on(since), _on(until) if until else max(today, _on(since)), act=until is None)
        for since, until in holds
    ]


def _rechecks(events: JointEvents, today: float) -> Lane:
    """Done ones as ticks, late or missed ones as a bar from their day on, owed ones hollow."""
    owed = [(day_of(day), late) for day, late in events.owed if day is not None]
    done = [one for one in events.done if one.done_at is not None]
    signs = [Sign(_on(one.done_at), "tick") for one in done if one.done_at]
    signs += [Sign(day, "diamond", solid=False) for day, _late in owed]
    stays = [
        Stay(_due(one), _on(one.done_at))
        for one in done
        if one.done_at and one.fell_due_at and _due(one) < _on(one.done_at)
    ]
    stays += [Stay(day, today, act=True) for day, late in owed if late and day < today]
    return Lane(gettext("Recheck"), signs, stays)


def _due(recheck: Recheck) -> float:
    return day_of(recheck.falls_on)


def _days(lanes: Iterable[Lane]) -> list[float]:
    days: list[float] = []
    for lane in lanes:
        days += [sign.at for sign in lane.signs]
        days += [day for stay in lane.stays for day in (stay.begin, stay.end)]
        days += [one.at for one in lane.gauge.readings] if lane.gauge else []
    return days


def _reach(days: list[float], today: float) -> tuple[float, float]:
    """From the first day to today, and on to what is owed unless that lies far ahead."""
    first = min(*days, today)
    ahead = max((today - first) * _AHEAD, _LEAST_AHEAD_DAYS)
    last = max([today, *[day for day in days if day <= today + ahead]])
    room = max((last - first) * _ROOM, _LEAST_ROOM_DAYS)
    return first - room, last + room


def _first_use(events: JointEvents) -> int | None:
    """What the meter said when the joint was first written of."""
    rows: list[Finding | TorqueReading | PartChange] = [
        *events.findings, *events.torques, *events.parts,
    ]  # fmt: skip
    known = [(one.occurred_at, one.use_si) for one in rows if one.use_si is not None]
    return min(known)[1] if known else None
