"""The trail: who changed what, when. It holds ids; names are put beside them on reading."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from fleet.reads.said import meter
from fleet.reads.trail_plan import PLAN_VERBS
from fleet.reads.trail_refs import Referred, named, referred
from fleet.reads.trail_words import DOORS, name_of, value_of
from fleet.reads.words import names_of
from fleet.records.models import Person, TrailEntry, Vehicle

# What was done, in words; a verb that is not here is read as it is written.
VERBS: dict[str, Any] = PLAN_VERBS | {
    "add_design": _("put a design on file"),
    "assign_recheck": _("assigned a recheck"),
    "assign_rechecks": _("assigned many rechecks"),
    "change_rule": _("changed a rule"),
    "set_exception": _("gave a vehicle an exception from a rule"),
    "end_exception": _("ended an exception from a rule"),
    "lapse_exception": _("an exception from a rule lapsed"),
    "put_off_recheck": _("put a recheck off"),
    "take_put_off_back": _("took a put-off back"),
    "record_readings": _("brought in meter readings"),
    "record_training": _("recorded training to check"),
    "add_evidence": _("added evidence to a pattern"),
    "answer_pattern": _("answered a pattern by what came since"),
    "add_line": _("added a ticket line"),
    "add_person": _("took somebody on"),
    "add_tool": _("put a torque tool on file"),
    "add_vehicle": _("took a vehicle into the fleet"),
    "add_yard": _("put a yard on file"),
    "allow_self_check": _("allowed a self re-check"),
    "answer_complaint": _("answered a complaint"),
    "answer_file": _("answered a file request"),
    "ask_for_file": _("asked for a vehicle's file"),
    "bring_back": _("brought a vehicle back"),
    "calibrate": _("put a calibration on file"),
    "begin_demo": _("began the demo's history"),
    "cancel_ticket": _("cancelled a ticket"),
    "change_person": _("changed a person"),
    "change_vehicle": _("changed a vehicle"),
    "change_yard": _("changed a yard"),
    "choose_password": _("chose a password by a one-time link"),
    "close_ticket": _("closed a ticket"),
    "compare_tool": _("compared a torque tool"),
    "correct_tool_use": _("corrected how often a torque tool was used on other work"),
    "decide_move": _("let a held vehicle be moved to the yard"),
    "end_demo": _("ended the demo's history"),
    "do_recheck": _("did a recheck"),
    "drive_recheck": _("recorded the road test of a recheck"),
    "drop_line": _("dropped a ticket line"),
    "drop_recheck": _("dropped a recheck"),
    "end_move": _("ended the leave to move to the yard"),
    "half_recheck": _("did one half of a recheck"),
    "judge_pattern": _("judged a pattern"),
    "propose_interval": _("proposed a recheck interval"),
    "accept_interval": _("accepted a recheck interval"),
    "decline_interval": _("declined a recheck interval"),
    "take_interval_back": _("took an accepted interval back"),
    "set_aims": _("changed what intervals shall keep"),
    "enrol_tablet": _("enrolled a tablet"),
    "hold_again": _("held again: the record was refused"),
    "lay_up": _("laid a vehicle up"),
    "make_feed": _("made a calendar feed"),
    "renew_feed": _("gave a calendar feed a new address"),
    "revoke_feed": _("took a calendar feed back"),
    "add_webhook": _("put a webhook on file"),
    "change_webhook": _("changed a webhook"),
    "renew_secret": _("gave a webhook a new secret"),
    "send_test": _("sent a test to a webhook"),
    "send_again": _("sent events again"),
    "replay": _("sent the events of a time again"),
    "let_go": _("let a vehicle go"),
    "let_person_go": _("ended somebody's sign-in"),
    "lift_hold": _("lifted a hold"),
    "leave_quarantined": _("left what a tablet sent"),
    "look_over_rules": _("looked the rules over"),
    "make_code": _("made a code for a tablet"),
    "make_first_look_due": _("made a first look due"),
    "make_recheck": _("made a recheck"),
    "miss_recheck": _("marked a recheck missed"),
    "open_pattern": _("opened a pattern"),
    "open_sweep": _("opened a sweep"),
    "close_sweep": _("closed a sweep"),
    "take_sweep_back": _("took a sweep back"),
    "open_ticket": _("opened a ticket"),
    "hand_key": _("signed on at a tablet"),
    "place_hold": _("placed a hold"),
    "read_over_lapsed": _("held again: a read-over release lapsed"),
    "record_inspection": _("recorded an inspection"),
    "record_line": _("recorded a ticket line"),
    "record_meter": _("read a meter"),
    "release": _("released for a road test"),
    "report_complaint": _("reported a complaint"),
    "record_tool_use": _("told of a torque tool's uses on other work"),
    "report_mishap": _("reported a tool dropped or strained"),
    "reset_sign_in": _("ended a password and made a sign-in link"),
    "add_photo": _("kept a photo"),
    "revoke_tablet": _("revoked a tablet"),
    "road_test": _("recorded a road test"),
    "second_check": _("recorded a second check"),
    "set_aside": _("set aside what was refused"),
    "set_alignment": _("put a design's alignment on file"),
    "set_fleet": _("named the fleet and its defaults"),
    "set_fitting": _("set whether a joint is fitted"),
    "set_lever": _("put a torque tool's length on file"),
    "set_spec": _("put a torque figure on file"),
    "take_in": _("took in what a tablet sent"),
    "take_read_over": _("let a vehicle out by a read-over release"),
    "take_out": _("took a vehicle's file out"),
    "take_person_back": _("took somebody back"),
    "take_leave_back": _("took back the leave for a self re-check"),
    "withdraw_file": _("withdrew a file request"),
    "withdraw_reading": _("withdrew a meter reading"),
}


@dataclass(frozen=True)
class TrailRow:
    entry: TrailEntry
    actor: str
    vehicle: Vehicle | None
    # Names of ticket actions, which are rules of the fleet's own.
    works: dict[str, str]
    # Names of what it refers to by id.
    known: Referred

    @property
    def verb(self) -> str:
        return str(VERBS.get(self.entry.verb, self.entry.verb.replace("_", " ")))

    @property
    def changes(self) -> list[tuple[str, Any, Any]]:
        """Each name that changed, with what it was and what it became."""
        before, after = self.entry.before or {}, self.entry.after or {}
        names = [*before, *(name for name in after if name not in before)]
        return [self._change(name, before.get(name), after.get(name)) for name in names]

    def _change(self, name: str, before: Any, after: Any) -> tuple[str, Any, Any]:
        """Use is kept in metres or seconds; it is read in the meter's own unit."""
        if name.endswith("use_si") and self.vehicle is not None:
            unit = self.vehicle.meter_unit
            was, now = (meter(use, unit) if isinstance(use, int) else None
                        for use in (before, after))  # fmt: skip
            return str(_("meter")), was, now
        subject = self.entry.subject
        was, now = (
            named(name, value, self.known) or value_of(subject, name, value, self.works)
            for value in (before, after)
        )
        return name_of(subject, name), was, None if was == now else now

    @property
    def door(self) -> str:
        """Where it came in."""
        return str(DOORS.get(self.entry.door, self.entry.door))


@dataclass(frozen=True)
class Gesture:
    """All that one gesture of one person on one vehicle came to, in the order it was done."""

    rows: list[TrailRow]

    @property
    def first(self) -> TrailRow:
        return self.rows[0]


def gestures(rows: Iterable[TrailRow]) -> list[Gesture]:
    """A page of the trail by gesture, the newest first; one cut by the page's end stays cut."""
    alike = groupby(rows, key=lambda row: (row.entry.gesture, row.entry.vehicle_id))
    return [Gesture(list(group)[::-1]) for _key, group in alike]


def trail(person: Person) -> QuerySet[TrailEntry]:
    """Every entry in scope, the newest first."""
    return TrailEntry.visible_to(person).order_by("-id")


def trail_rows(entries: Iterable[TrailEntry]) -> list[TrailRow]:
    """One page of the trail in words; two queries for its names, one more where work was added
    and for each kind of thing that entries refer to."""
    rows = list(entries)
    known = referred(rows)
    works = names_of("action") if any("action" in row.after for row in rows) else {}
    people = Person.objects.in_bulk({row.actor_id for row in rows})
    vehicles = Vehicle.objects.in_bulk({row.vehicle_id for row in rows if row.vehicle_id})
    return [
        TrailRow(
            entry=row,
            actor=people[row.actor_id].name if row.actor_id in people else "",
            vehicle=vehicles.get(row.vehicle_id) if row.vehicle_id else None,
            works=works,
            known=known,
        )
        for row in rows
    ]
