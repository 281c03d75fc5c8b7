"""Who may do what: one table, read by every door and held by one test."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    MANAGER = "manager", _("manager")
    SCHEDULER = "scheduler", _("scheduler")
    TECHNICIAN = "technician", _("technician")
    DRIVER = "driver", _("driver")
    READER = "reader", _("reader")
    INTEGRATOR = "integrator", _("integrator")
    SERVER = "server", _("the server itself")


M, S, T, D = Role.MANAGER, Role.SCHEDULER, Role.TECHNICIAN, Role.DRIVER
R, N = Role.READER, Role.INTEGRATOR

ABILITIES: dict[str, frozenset[str]] = {
    # reading
    "view_vehicle": frozenset({M, S, T, D, R, N}),
    "view_history": frozenset({M, S, T, R, N}),
    "view_due": frozenset({M, S, T, R, N}),
    # A technician reads their own days.
    "view_plan": frozenset({M, S, T}),
    "view_patterns": frozenset({M, S, T, R}),
    "view_specs": frozenset({M, S, T, R}),
    "view_trail": frozenset({M, R}),
    "view_files": frozenset({M, R}),
    "ask_for_file": frozenset({M, R}),
    # One vehicle's file, on paper or as a file; and what is told of the whole fleet.
    "take_file": frozenset({M, R}),
    "view_reports": frozenset({M}),
    "reckon": frozenset({M, S, T, D, R, N}),
    # the work
    "report_complaint": frozenset({M, S, T, D}),
    "record_meter": frozenset({M, S, T, D, N}),
    "inspect": frozenset({M, T}),
    "open_ticket": frozenset({M, S, T}),
    "record_line": frozenset({M, T}),
    "set_fitting": frozenset({M, T}),
    "second_check": frozenset({M, T}),
    "close_ticket": frozenset({M, T}),
    "place_hold": frozenset({M, S, T, D}),
    "end_move": frozenset({M, S, T, D}),
    # decisions
    "lift_hold": frozenset({M}),
    # Of these, a person who is trained.
    "decide_move": frozenset({M, T}),
    "allow_self_check": frozenset({M}),
    "accept_reading": frozenset({M}),
    "assign_work": frozenset({M, S}),
    "edit_plan": frozenset({M, S}),
    "answer_complaint": frozenset({M, S, T}),
    "answer_file": frozenset({M}),
    "judge_pattern": frozenset({M}),
    "judge_interval": frozenset({M}),
    "sweep": frozenset({M}),
    "edit_specs": frozenset({M}),
    "edit_tools": frozenset({M}),
    "edit_rules": frozenset({M}),
    "edit_vehicles": frozenset({M}),
    "edit_people": frozenset({M}),
    "edit_yards": frozenset({M}),
    "edit_tablets": frozenset({M}),
    "send_events_out": frozenset({M}),
    "name_fleet": frozenset({M}),
    "bring_in": frozenset({M}),
}


def allowed(role: str, ability: str) -> bool:
    """The server itself may do all that its tasks do; anyone else only what the table says."""
    return role == Role.SERVER or role in ABILITIES[ability]
