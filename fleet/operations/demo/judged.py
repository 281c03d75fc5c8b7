"""What the demo's managers made of the patterns that each quarter's scan had found.

The patterns are found by the scan itself, over the record as it stood at the time.
"""

from datetime import datetime, timedelta

from django.db import transaction

from fleet.operations import patterns
from fleet.operations.actor import Actor, server_actor
from fleet.operations.demo.life import cause
from fleet.operations.work import Work
from fleet.records.models import Pattern

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


def _judge(manager: Actor, at: datetime) -> None:
    """One step for each pattern that stands; where a truck's story says so, as it says."""
    rows = Pattern.objects.filter(state__in=STEPS).select_related("vehicle", "joint__kind")
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
