"""What the tablet's rules find wrong, in words; each by its code."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

PROBLEM_WORDS: dict[str, Promise] = {
    "problem.unread": _("It can't be read. Type it like this: %(hint)s"),
    "problem.other": _("The server will not take it so (%(code)s)."),
    "problem.too_small": _("Too small: at least %(hint)s."),
    "problem.too_large": _("Too large: at most %(hint)s."),
    "problem.too_long": _("Too long: at most %(hint)s characters."),
    "problem.not_a_choice": _("Choose one from the list."),
    "problem.must": _("It has to be confirmed."),
    # A look
    "problem.code_unknown": _("Choose what was found from the list."),
    "problem.joint_not_fitted": _(
        "It is on file as not fitted. If it is there, set it fitted on its page first."
    ),
    "problem.joint_apart": _(
        "It is on file as apart: put it together on a ticket line and set it fitted first."
    ),
    "problem.method_missing": _("Say how it was looked at."),
    "problem.method_wrong": _("This finding can't be seen so: choose another way of looking."),
    "problem.reason_missing": _("Say why it was not reached."),
    "problem.degrees_missing": _("How far did it turn, in degrees? A flat of a hex nut is 60."),
    "problem.degrees_wrong": _("Type degrees as a number up to 1080, like 15."),
    "problem.torque_missing": _("Give the figure the wrench was set to."),
    "problem.tool_missing": _("Say which torque tool."),
    "problem.tool_doubted": _(
        "Torque tool %(tool)s is doubted since a drop or a failed calibration."
    ),
    "problem.tool_out_of_date": _(
        "Torque tool %(tool)s is out of calibration: use one that is in date, or compare it at the "
        "figure beside one."
    ),
    "problem.tool_range": _("%(tool)s does not reach this figure."),
    "problem.tool_unknown": _("No such torque tool is on this tablet. Choose one from the list."),
    "problem.torque_below": _("Below the low side of %(spec)s: pull it at its figure."),
    "problem.never_retorqued": _(
        "Never put a wrench on it to check: it is replaced or set per service information."
    ),
    "problem.no_tool_length": _(
        "With an extension %(tool)s says less than comes to the fastener, and its length is not "
        "known. Put the tool's length on file, drive to grip, or take a straight socket."
    ),
    "problem.extension_too_long": _(
        "An extension longer than %(tool)s itself? Give its length from the drive to the fastener, "
        "in line with the handle."
    ),
    # A sheet
    "problem.no_findings": _("Record at least one joint."),
    "problem.at_wheel_missing": _("A dry steer takes two: say who held the wheel."),
    "problem.not_on_wheels": _("A dry steer is made on the floor, on its wheels."),
    "problem.engine_on_raised": _("Raised looks are made with the engine off, on stands."),
    # A line
    "problem.torque_above": _(
        "Above the high side of %(spec)s: a new fastener on a joint that can hold the vehicle, "
        "elsewhere a reason."
    ),
    "problem.no_spec": _(
        "No torque figure is on file for this joint: say where yours stands in the manufacturer's "
        "service information."
    ),
    "problem.threads_differ": _(
        "%(spec)s is meant for other threads than these: on others the same torque clamps harder "
        "or less."
    ),
    "problem.heated": _(
        "A part heated by flame is not used again: replace it, or name the maker's leave."
    ),
    "problem.weld_missing": _("A weld washer is welded on: record the welding and who did it."),
    "problem.pin_hole_above": _(
        "The pin hole stands above the slots: the taper is worn or the part is wrong. Stud and arm "
        "are rejected: fit others."
    ),
    "problem.own_check": _("This joint warrants a hold: our own wrench or look is needed."),
    "problem.toe_out": _(
        "Toe as left is out of its specification, or further from as found than allowed."
    ),
    "problem.toe_unjudged": _("The tablet does not know the toe specification: the server judges."),
    "problem.sides_swapped": _("The low side is above the high side."),
    "problem.angle_out": _("An angle as left is out of its specification: say why."),
    # A check
    "problem.already_checked": _("The second check was passed before."),
    "problem.how_unknown": _("Choose how it was checked from the list."),
    "problem.by_missing": _("Say who checks."),
    "problem.passed_missing": _("Say whether it passed."),
    "problem.dry_steer_missing": _(
        "Confirm the dry steer: on the floor, brake set, wheels chocked, hands clear."
    ),
    "problem.note_missing": _("Say in the note what was looked at or felt."),
    "problem.same_person": _(
        "You did a line of this ticket: somebody else makes the second check."
    ),
    "problem.not_trained": _("A witness or a check at a distance needs a trained person."),
    "problem.self_check_barred": _(
        "Never by oneself after oscillation, a crack or opened steering."
    ),
    "problem.leave_missing": _(
        "A manager has to allow you a self re-check on this ticket first: ask for it."
    ),
    "problem.pause_missing": _(
        "Leave a pause of half an hour between the work and checking it yourself."
    ),
    "problem.work_lacks": _("The work still lacks what stands above."),
}
