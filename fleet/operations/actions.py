"""What the work of a line is: whether it opens the steering, and which findings it answers."""

from fleet.reads.rules import RuleNow
from fleet.records.inspections import LOOSE
from fleet.records.models import FindingCode, Joint
from fleet.records.tickets import MENDS_NOTHING

# 'Opened' is a stud out of its taper, a rod end turned, a sleeve or clamp loosened; a retorque is
# not.
OPENS_NOTHING = ("retorque", *MENDS_NOTHING)
# A shop's work, and a hole's repair, may answer anything found at the joint.
ANSWERS_ANY = ("outside_shop", "repair_hole")


def opens_steering(rule: RuleNow, joint: Joint | None) -> bool:
    """Whether this work opens the steering: by its kind, or by the joint that it takes apart."""
    if rule.data["opens_steering"]:
        return True
    at_such_a_joint = joint is not None and joint.kind.opens_steering
    return at_such_a_joint and rule.key not in OPENS_NOTHING


def answers(rule: RuleNow, code: str, *, new_fastener: bool = False) -> bool:
    """Whether this work on a joint answers what was found there; an empty code is any reason.

    What is loose may be tightened. What is worn out, cracked or bent is not mended by a wrench; a
    broken or missing bolt, nut or pin is, with a new one.
    """
    if rule.key in MENDS_NOTHING:
        return False
    if not code or code in LOOSE or rule.key in ANSWERS_ANY or code in rule.data["answers"]:
        return True
    return code == FindingCode.BROKEN and new_fastener
