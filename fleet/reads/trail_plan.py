"""What was done to the plan, in the trail's words."""

from typing import Any

from django.utils.translation import gettext_lazy as _

PLAN_VERBS: dict[str, Any] = {
    "plan_visit": _("put a vehicle on the plan"),
    "add_to_visit": _("added work to a visit of the plan"),
    "move_visit": _("moved a visit of the plan"),
    "pin_visit": _("pinned or unpinned a visit of the plan"),
    "take_out_visit": _("took a visit off the plan"),
    "undo_move": _("undid a move on the plan"),
    "visit_less": _("a visit of the plan has less to do"),
    "visit_over": _("a visit of the plan has nothing left to do"),
    "lock_day": _("locked a day of the plan"),
    "unlock_day": _("unlocked a day of the plan"),
    "ask_for_plan": _("asked the planner for a plan"),
    "stop_plan": _("stopped the planner"),
    "take_plan": _("put a proposed plan in place"),
    "leave_plan": _("left a proposed plan"),
    "set_hours": _("set a yard's hours"),
    "close_day": _("put a day on which a yard is shut on file"),
    "open_day": _("took a day on which a yard is shut off"),
    "set_days": _("set a person's days"),
    "add_day_off": _("put days off on file"),
    "drop_day_off": _("took days off back"),
    "add_away": _("put a vehicle's days away on file"),
    "drop_away": _("took a vehicle's days away back"),
}
PLAN_NAMES: dict[str, Any] = {
    "people": _("people"),
    "rechecks": _("rechecks"),
    "made": _("visits made"),
    "moved": _("visits moved"),
    "out": _("visits taken out"),
    "stale": _("left as it was"),
    "crew_from_id": _("crew comes from"),
}
