"""What the record says of a joint now: the shape of its mark, and what is said in its place."""

from django.utils.translation import gettext

from fleet.records.models import Joint, JointState, Mark


def state_of(joint: Joint) -> JointState | None:
    """The state kept of it; None before its first fact."""
    return getattr(joint, "state", None)


def mark_now(joint: Joint) -> str:
    """Of a joint of which nothing is known, that of no look at all."""
    state = state_of(joint)
    return str(state.mark if state else Mark.UNKNOWN)


def word_now(joint: Joint) -> str:
    """What stands in place of the mark's own words where it was taken apart, or off."""
    if joint.fitted != Joint.Fitted.FITTED:
        return str(joint.get_fitted_display())
    state = state_of(joint)
    seen_before = state is not None and state.last_finding_id is not None
    if mark_now(joint) == Mark.UNKNOWN and seen_before:
        return gettext("not looked at since it was fitted again")
    return ""
