"""Patterns found by statistics, written as the record shows them: opened, renewed, answered.

A scan may run any number of times: it writes only where the record says something else than what
is kept. Nothing is closed by it, and what a manager set aside returns only on evidence since.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F

from fleet.operations.actor import Actor
from fleet.operations.work import EVENTS, Work
from fleet.reads.history.since import is_back, verdict
from fleet.reads.history.standing import Asked, StandOut, questions
from fleet.records.models import Joint, Pattern, TorqueTool, Vehicle

METHOD = "evidence"
# What to look at next, in this order (common practice, no source).
NEXT_LOOK = {
    "joint": ["hole", "bolt", "sleeve", "bracket", "tool"],
    "tool": ["calibration", "comparison", "sweep"],
    "lot": ["lot_aside", "class_marks", "supplier", "sweep"],
    "part": ["part_fit", "class_marks", "supplier"],
    "practice": ["figure", "figure_source", "threads"],
    "yard": ["how_checked", "roads", "corrosion"],
    "yard_duty": ["roads", "load", "interval"],
    "worsening": ["frame", "brackets", "load"],
    "toe_drift": ["clamps", "tie_rod", "frame"],
    "missed": ["bays", "people", "trips"],
}
RESTING = (Pattern.State.SET_ASIDE, Pattern.State.HELPED)
ANSWERED = (Pattern.State.ACTED_ON, Pattern.State.TOO_EARLY)
OUTCOME = {
    "helped": Pattern.State.HELPED,
    "did_not_help": Pattern.State.DID_NOT_HELP,
    "too_early": Pattern.State.TOO_EARLY,
    "not_clear": Pattern.State.TOO_EARLY,
}


def scan_stand_outs(actor: Actor, *, at: datetime) -> int:
    """Judge the record up to the last whole week; returns how many patterns changed."""
    changed = 0
    for asked in questions(at):
        found = asked.stand_outs()
        with transaction.atomic():
            changed += _keep_all(Work(actor, at), asked, found)
    return changed


def _keep_all(work: Work, asked: Asked, found: list[StandOut]) -> int:
    kept = {
        row.key: row
        for row in Pattern.objects.filter(
            statistic__method=METHOD, statistic__clock=asked.rows.clock
        )
    }
    places = _places(found)
    changed = sum(_keep(work, one, kept.get(one.key), places) for one in found)
    return changed + sum(_answer(work, asked, row) for row in kept.values())


def _places(found: list[StandOut]) -> Mapping[str, dict[str, Any]]:
    """The joint, vehicle and yard that each is about, by its key; three queries."""
    ids: dict[str, list[StandOut]] = {}
    for one in found:
        ids.setdefault(one.label, []).append(one)

    def of(label: str) -> list[int]:
        return [int(one.member) for one in ids.get(label, [])]

    joints = Joint.objects.select_related("vehicle").in_bulk(of("joint"))
    vehicles = Vehicle.objects.in_bulk(of("vehicle"))
    tools = TorqueTool.objects.in_bulk(of("tool"))
    told: dict[str, dict[str, Any]] = {}
    for one in found:
        if one.label == "joint":
            joint = joints[int(one.member)]
            told[one.key] = {"joint": joint, "vehicle": joint.vehicle,
                             "yard_id": joint.vehicle.yard_id}  # fmt: skip
        elif one.label == "vehicle":
            vehicle = vehicles[int(one.member)]
            told[one.key] = {"vehicle": vehicle, "yard_id": vehicle.yard_id}
        elif one.label == "tool":
            told[one.key] = {"yard_id": tools[int(one.member)].yard_id}
        elif one.label in ("yard", "yard_duty"):
            told[one.key] = {"yard_id": int(one.member.split("|")[0])}
        else:
            told[one.key] = {}
    return told


def _statistic(one: StandOut) -> dict[str, Any]:
    told = one.figures
    return {
        "method": METHOD, "clock": one.clock, "label": one.label, "member": one.member,
        "observed": told.observed, "expected": round(told.expected, 2),
        "ratio": _figure(told.ratio), "low": _figure(told.low), "high": _figure(told.high),
        "p_above": None if told.p_above is None else float(f"{told.p_above:.3g}"),
        "log_e": round(one.log_e, 2), "level": one.level, "family": one.tested,
        "checks": told.checks, "vehicles": told.vehicles, "until": one.until.date().isoformat(),
        "explains": [_named(other) for other in one.explains],
        "not_told_apart": [_named(other) for other in one.not_told_apart],
        "explained_by": _named(one.explained_by) if one.explained_by else None,
    }  # fmt: skip


def _figure(value: float) -> float | None:
    """Three digits; none where it has no end."""
    return float(f"{value:.3g}") if value < float("inf") else None


def _named(one: tuple[str, str]) -> dict[str, str]:
    return {"label": one[0], "member": one[1]}


def _keep(
    work: Work, one: StandOut, row: Pattern | None, places: Mapping[str, dict[str, Any]]
) -> int:
    statistic, evidence = _statistic(one), {one.fact: list(one.facts)}
    if row is None:
        row = Pattern.objects.create(
            kind=one.kind, key=one.key, statistic=statistic, evidence=evidence,
            next_look=NEXT_LOOK[one.kind], opened_at=one.opened_at, last_evidence_at=one.last_at,
            **places[one.key],
        )  # fmt: skip
        said = {"finds": one.figures.observed, "since": str(one.opened_at.date())}
        work.trail("open_pattern", row, vehicle=row.vehicle, after=said, tell=EVENTS)
        return 1
    if row.statistic == statistic and row.evidence == evidence:
        return 0
    new = len(set(one.facts) - set(row.evidence.get(one.fact, [])))
    Pattern.objects.filter(pk=row.pk).update(
        statistic=statistic, evidence=evidence, last_evidence_at=one.last_at
    )
    if new:
        work.trail("add_evidence", row, vehicle=row.vehicle, after={"new": new})
    return 1


def _answer(work: Work, asked: Asked, row: Pattern) -> int:
    """What came since the manager's last word: did it help, or is it back?"""
    label, member = row.statistic["label"], row.statistic["member"]
    if row.state in ANSWERED and row.acted_at is not None:
        return _judge(work, asked, row, label, member, row.acted_at)
    since = row.set_aside_at if row.state == Pattern.State.SET_ASIDE else _helped_at(row)
    if row.state in RESTING and since is not None and is_back(asked, label, member, since):
        return _move(work, row, Pattern.State.OPEN, {"since": str(since.date())})
    return 0


def _helped_at(row: Pattern) -> datetime | None:
    told = row.verdict.get("until")
    return datetime.fromisoformat(told) if told else None


def _judge(
    work: Work, asked: Asked, row: Pattern, label: str, member: str, acted_at: datetime
) -> int:
    told = verdict(asked, label, member, acted_at)
    said = {
        "verdict": str(told.helped.verdict), "predicted": round(told.helped.predicted, 2),
        "seen": told.seen, "expected": round(told.expected, 2),
        "p": float(f"{told.helped.p:.3g}"), "checks": told.checks,
        "until": asked.until.isoformat(),
    }  # fmt: skip
    if {**said, "until": ""} == {**row.verdict, "until": ""}:
        return 0
    Pattern.objects.filter(pk=row.pk).update(verdict=said)
    to = OUTCOME[str(said["verdict"])]
    if to != row.state:
        _move(work, row, to, said)
    return 1


def _move(work: Work, row: Pattern, to: str, after: dict[str, Any]) -> int:
    rows = Pattern.objects.filter(pk=row.pk, state=row.state)
    if not rows.update(state=to, version=F("version") + 1):
        return 0  # a manager was quicker
    # Back, it is as good as new to whoever hears of it.
    work.trail("answer_pattern", row, vehicle=row.vehicle, before={"state": row.state},
               after={"state": to, **after},
               tell=EVENTS if to == Pattern.State.OPEN else ())  # fmt: skip
    return 1
