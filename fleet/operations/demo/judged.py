"""What the demo's managers made of the patterns that the scan had found.

Joints that came loose again are found by the scan itself each quarter, over the record as it
stood at the time. What stands out in the whole record is found once, at the end: it says itself
by which week it stood out.
"""

from datetime import datetime, timedelta

from django.db import transaction

from fleet.operations import patterns
from fleet.operations.actor import Actor, server_actor
from fleet.operations.demo import inputs
from fleet.operations.demo.life import cause
from fleet.operations.stand_out import METHOD
from fleet.operations.work import Work
from fleet.reads.patterns.kinds import REPEAT
from fleet.records.models import Clock, Pattern, TorqueTool

QUARTER = timedelta(days=91)
# The last months are left as the scan finds them: open, for whoever starts the demo.
LEFT_OPEN = timedelta(days=130)
STEPS = {
    Pattern.State.OPEN: Pattern.State.LOOKED_AT,
    Pattern.State.LOOKED_AT: Pattern.State.ACTED_ON,
    Pattern.State.ACTED_ON: Pattern.State.HELPED,
}
USUAL = {
    Pattern.State.LOOKED_AT: "Hole, bolt, sleeve and bracket looked at: bolt stretched",
    Pattern.State.ACTED_ON: "New bolt, faces cleaned, tightened at ride height",
    Pattern.State.HELPED: "",
}
BUSHED = {
    Pattern.State.LOOKED_AT: "Axle-end hole gauged: 0.03 in oval",
    Pattern.State.ACTED_ON: "Hole bushed to size",
    Pattern.State.HELPED: "",
}
MORE_TORQUE = {
    Pattern.State.LOOKED_AT: "Bolt looked sound; hole not gauged",
    Pattern.State.ACTED_ON: "Tightened past the figure with a new bolt",
    Pattern.State.DID_NOT_HELP: "",
}
FAILED = "It failed its calibration: it reads 30 % high. Dropped, and nobody wrote it down"
WITHDRAWN = "Taken out of use; what it had tightened goes on the wrench at the next look"
WASHBOARD = "Parts sound when fitted. The ridge route is washboard from end to end"
NOT_YET: dict[Pattern.State, str] = {}
TEXTS = {"A-106": BUSHED, "C-205": MORE_TORQUE, "A-109": NOT_YET}


def scan_the_past(manager: Actor, since: datetime, now: datetime) -> None:
    """Scan at the end of each quarter, and let the manager answer what was found."""
    moment = since + 2 * QUARTER
    while moment < now:
        with transaction.atomic(durable=True):
            patterns.scan(Work(server_actor("command"), moment), until=moment)
        if moment < now - LEFT_OPEN:
            _judge(manager, moment + timedelta(hours=9))
        moment += QUARTER


def answer_stand_outs(manager: Actor, now: datetime) -> None:
    """What was done about those found by statistics; the rest is as the scan left it."""
    failed = now + timedelta(days=inputs.read("tools")["high_reader"]["failed"])
    for row in Pattern.objects.filter(statistic__method=METHOD).order_by("id"):
        told = _answers(row)
        at = max(row.opened_at, failed) + timedelta(hours=33)
        for days, (to, text) in enumerate(told):
            moment = at + timedelta(days=days)
            if moment < now:
                patterns.judge_pattern(manager, row.pk, to=to, text=text, at=moment)


def _answers(row: Pattern) -> list[tuple[Pattern.State, str]]:
    """The dropped tool was taken out of use; the worn route was looked at."""
    member, label = row.statistic["member"], row.statistic["label"]
    if label == "tool" and TorqueTool.objects.filter(pk=member, code=cause("tool")["code"]):
        return [(Pattern.State.LOOKED_AT, FAILED), (Pattern.State.ACTED_ON, WITHDRAWN)]
    if row.kind == "yard_duty" and row.statistic["clock"] == Clock.WEAR:
        return [(Pattern.State.LOOKED_AT, WASHBOARD)]
    return []


def _judge(manager: Actor, at: datetime) -> None:
    """One step for each pattern that stands; where a truck's story says so, as it says."""
    repeats = Pattern.objects.filter(kind=REPEAT)
    rows = repeats.filter(state__in=STEPS).select_related("vehicle", "joint__kind")
    for row in rows.order_by("id"):
        texts = _texts_of(row)
        to = STEPS[Pattern.State(row.state)]
        if row.state == Pattern.State.ACTED_ON:
            to = next(reversed(texts))
            if to == Pattern.State.HELPED and row.last_evidence_at > at - 2 * QUARTER:
                continue
        if to not in texts:
            continue
        patterns.judge_pattern(manager, row.pk, to=to, text=texts.get(to, ""), at=at)


def _texts_of(row: Pattern) -> dict[Pattern.State, str]:
    """What was found and done: a story's own where it is about this joint."""
    at_the_hole = row.joint is not None and row.joint.kind.code == cause("oval")["joint"]
    if at_the_hole and row.vehicle is not None:
        return TEXTS.get(row.vehicle.unit_number, USUAL)
    return USUAL
