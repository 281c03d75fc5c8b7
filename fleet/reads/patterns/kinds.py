"""The kinds of pattern: one by the fleet's working rule, the others found by statistics."""

from typing import Any

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from fleet.reads.history.labels import LABELS, of_pattern
from fleet.records.models import Pattern

#: The working rule: so many finds within so many days. No chance of error is claimed for it.
REPEAT = "repeat_loosening"
WORSENING, TOE_DRIFT, MISSED = "worsening", "toe_drift", "missed"

#: In the order of the filter.
KINDS: dict[str, Any] = {
    REPEAT: _("came loose again"),
    "joint": _("joint"),
    "tool": _("torque tool"),
    "lot": _("lot"),
    "part": _("part number"),
    "practice": _("tightening practice"),
    "yard": _("yard"),
    "yard_duty": _("duty at a yard"),
    WORSENING: _("vehicle getting worse"),
    TOE_DRIFT: _("toe that does not stay"),
    MISSED: _("missed rechecks"),
}


def is_by_statistics(pattern: Pattern) -> bool:
    return pattern.kind != REPEAT


def about(pattern: Pattern) -> Q | None:
    """The exposures a pattern is about; None where it is about none (toe, missed rechecks)."""
    said = pattern.statistic
    if said.get("label") in LABELS and pattern.kind in LABELS:
        return of_pattern(said)
    if pattern.kind == WORSENING and pattern.vehicle_id:
        return Q(clock=said["clock"], vehicle=pattern.vehicle_id)
    return None
