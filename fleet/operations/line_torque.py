"""What a line's wrench says against the figure on file: tool, band, threads, new fastener."""

from django.utils.translation import gettext as _

from fleet.calc.fastener_tables import NUT_FACTORS
from fleet.operations import evidence, looks
from fleet.operations.errors import Problem
from fleet.operations.line_view import LineView, by_angle
from fleet.operations.words import value
from fleet.reads.pulls import as_pulled
from fleet.records.models import HeldBy, Joint, ThreadCondition, TorqueReading, TorqueSpec

OUR_WRENCH = "wrench"


def torque_problems(view: LineView, torque: TorqueReading) -> list[Problem]:
    """Everything that one pull of the wrench leaves open on a line."""
    return [
        *_tool(view, torque),
        *_below(view, torque),
        *_above(view, torque),
        *_no_figure(view, torque),
        *_threads(view, torque),
    ]


def explained(view: LineView) -> bool:
    return bool(str(value(view.data, "out_of_band_reason") or "").strip())


def _names(torque: TorqueReading) -> dict[str, str]:
    return {"typed": as_pulled(torque), "spec": torque.spec.typed if torque.spec else ""}


def _prefix(view: LineView, torque: TorqueReading) -> str:
    return evidence.prefix_of(view.line, torque.joint)


def _tool(view: LineView, torque: TorqueReading) -> list[Problem]:
    if not torque.joint.kind.holds or torque.tool_in_date:
        return []
    message = _(
        "Torque tool %(tool)s was out of calibration or doubted on the day: pull it again "
        "with one that is in date."
    ) % {"tool": torque.tool.code}
    return [view.problem("tool_out_of_date", message, f"{_prefix(view, torque)}tool")]


def _below(view: LineView, torque: TorqueReading) -> list[Problem]:
    if torque.band != TorqueReading.Band.BELOW:
        return []
    if explained(view) and not torque.joint.kind.holds:
        return []
    message = _("Torque %(typed)s is below the low side of %(spec)s.") % _names(torque)
    return [view.problem("torque_below", message, f"{_prefix(view, torque)}torque")]


def _above(view: LineView, torque: TorqueReading) -> list[Problem]:
    if torque.band != TorqueReading.Band.ABOVE:
        return []
    field = f"{_prefix(view, torque)}new_fastener"
    if torque.joint.kind.holds and value(view.data, field) != "yes":
        message = _(
            "Torque %(typed)s is above the high side of %(spec)s: a new fastener is needed."
        )
        return [view.problem("torque_above", message % _names(torque), field)]
    if not torque.joint.kind.holds and not explained(view):
        message = _("Torque %(typed)s is above the high side of %(spec)s: say why.")
        return [view.problem("torque_above", message % _names(torque), "out_of_band_reason")]
    return []


def _no_figure(view: LineView, torque: TorqueReading) -> list[Problem]:
    nothing = torque.band == TorqueReading.Band.NO_SPEC
    if not nothing or not torque.joint.kind.holds or explained(view):
        return []
    message = _(
        "No torque figure is on file for this joint: say where yours stands in the "
        "manufacturer's service information."
    )
    return [view.problem("no_spec", message, "out_of_band_reason")]


def _threads(view: LineView, torque: TorqueReading) -> list[Problem]:
    """A figure holds for threads as its source means them: on others it clamps otherwise."""
    differs = threads_differ(torque.thread_condition, torque.spec)
    if not differs or (explained(view) and not torque.joint.kind.holds):
        return []
    if torque.joint.kind.holds:
        field = f"{_prefix(view, torque)}thread_condition"
        return [view.problem("threads_differ", differs, field)]
    message = _("%(differs)s Say why.") % {"differs": differs}
    return [view.problem("threads_differ", message, "out_of_band_reason")]


def threads_differ(recorded: str, spec: TorqueSpec | None) -> str:
    """Why a figure does not hold for these threads; empty where it does, or nobody said.

    The ranges of K stand with their sources in `calc.fastener_tables`: by T = K D F the same
    torque clamps harder the slicker the threads are. On tapered studs and clamps no figure is
    worked out by it; that slicker threads clamp harder holds there too.
    """
    if spec is None or recorded in ("", spec.thread_condition):
        return ""
    here, meant = NUT_FACTORS[recorded], NUT_FACTORS[spec.thread_condition]
    words = {
        "spec": spec.typed,
        "meant": ThreadCondition(spec.thread_condition).label,
        "found": ThreadCondition(recorded).label,
    }
    middle, wanted = here.low + here.high, meant.low + meant.high
    if middle < wanted:
        text = _(
            "%(spec)s is meant for threads that are %(meant)s; these are %(found)s: the same "
            "torque clamps harder and may overload the fastener. Clean them, or use a figure "
            "that is meant for them."
        )
    else:
        text = _(
            "%(spec)s is meant for threads that are %(meant)s; these are %(found)s: the same "
            "torque clamps less and the joint may loosen. Bring them to that condition, or use "
            "a figure that is meant for them."
        )
    return text % words


def never_pulled(view: LineView) -> list[Problem]:
    """A wrench put where none belongs: the line was there before the figure, or a shop's."""
    joint = view.line.joint
    own_wrench = value(view.data, "own_check") == OUR_WRENCH
    if joint is None or not (view.line.action == "retorque" or own_wrench):
        return []
    spec = view.specs.get(joint.kind_id)
    if not looks.never_retorqued(joint.kind, spec):
        return []
    name = "own_check" if own_wrench else "torque"
    return [view.problem("never_retorqued", why_never(joint, spec), name)]


def why_never(joint: Joint, spec: TorqueSpec | None) -> str:
    """Why this fastener is never pulled again, in words."""
    names = {"joint": joint.name}
    if by_angle(joint, spec):
        text = _(
            "%(joint)s is turned on by an angle or to yield: its bolt stretched when it was "
            "tightened and is replaced, never retorqued."
        )
    elif joint.kind.held_by == HeldBy.ADJUSTING_NUT:
        text = _(
            "%(joint)s is a wheel-bearing adjusting nut: seated while the hub turns, backed off "
            "and locked per service information, never retorqued."
        )
    else:
        text = _("%(joint)s has no fastener that is retorqued: replace it per service information.")
    return text % names
