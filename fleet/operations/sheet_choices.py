"""What a sheet offers of each joint: the findings it can have, and how it is looked at."""

from fleet.operations.looks import TOLD_APART, never_retorqued
from fleet.records.models import FindingCode, HeldBy, Joint, JointKind, TorqueSpec


def codes_of(joint: Joint, spec: TorqueSpec | None) -> list[FindingCode]:
    """The findings that this joint can have as it stands."""
    if joint.fitted == Joint.Fitted.APART:
        return list(TOLD_APART)
    barred = set()
    if never_retorqued(joint.kind, spec):
        barred.add(FindingCode.TIGHT)
    if not joint.kind.moved_methods:
        barred.add(FindingCode.MOVED)
    if joint.kind.held_by != HeldBy.SLOTTED_STUD:
        barred.add(FindingCode.BOOT_TORN)
    return [code for code in FindingCode if code not in barred]


def methods_of(kind: JointKind) -> list[str]:
    """How a joint is looked at: what shows play first, then what shows turning."""
    return list(dict.fromkeys([*kind.play_methods, "look", *kind.moved_methods]))
