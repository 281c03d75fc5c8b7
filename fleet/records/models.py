"""Where Django looks for models: one line a noun, each in its own file."""

from fleet.records.checks import (
    LeaveTakenBack,
    RoadRelease,
    RoadTest,
    SecondCheck,
    SelfCheckLeave,
)
from fleet.records.complaints import Complaint, ComplaintAnswer, ComplaintKind
from fleet.records.digests import Digest, DigestSent
from fleet.records.exceptions import RuleException
from fleet.records.feeds import Feed, FeedEvent
from fleet.records.files import FileAnswer, FileRequest
from fleet.records.history import Baseline, Clock, Exposure, Reckoned, Sight
from fleet.records.holds import Hold
from fleet.records.inspections import Finding, FindingCode, Inspection, InspectionKind
from fleet.records.intervals import IntervalProposal
from fleet.records.joints import Joint, JointFitting, JointState, Mark, PartChange
from fleet.records.layouts import Design, HeldBy, JointKind, Layout, LayoutJoint
from fleet.records.meters import MeterReading
from fleet.records.patterns import Pattern
from fleet.records.people import Person, Posting, Training
from fleet.records.photos import Photo
from fleet.records.plan_facts import AwayDay, ClosedDay, DayOff, PersonPlan, Skill, YardPlan
from fleet.records.planning import LockedDay, PlanRun, PlanRunYard, Visit, VisitPerson, VisitWork
from fleet.records.read_over import ReadOver
from fleet.records.rechecks import Recheck, RecheckDrive
from fleet.records.requests import StoredRequest
from fleet.records.roles import Role
from fleet.records.specs import Rule, ThreadCondition, TorqueSpec
from fleet.records.sweeps import Sweep, SweepJoint
from fleet.records.tablets import EnrolmentCode, Tablet, TabletKey, TabletOperation
from fleet.records.tickets import LineEntry, Ticket, TicketLine, ToeReading, TorqueReading
from fleet.records.tools import Calibration, ToolComparison, ToolMishap, ToolUse, TorqueTool
from fleet.records.trail import Outbox, Seal, TrailEntry
from fleet.records.vehicles import Duty, MeterUnit, Vehicle, VehicleUse
from fleet.records.webhooks import Delivery, Event, EventKind, Webhook
from fleet.records.yard_moves import YardMove, YardMoveEnd
from fleet.records.yards import Yard

__all__ = [
    "AwayDay",
    "Baseline",
    "Calibration",
    "Clock",
    "ClosedDay",
    "Complaint",
    "ComplaintAnswer",
    "ComplaintKind",
    "DayOff",
    "Delivery",
    "Design",
    "Digest",
    "DigestSent",
    "Duty",
    "EnrolmentCode",
    "Event",
    "EventKind",
    "Exposure",
    "Feed",
    "FeedEvent",
    "FileAnswer",
    "FileRequest",
    "Finding",
    "FindingCode",
    "HeldBy",
    "Hold",
    "Inspection",
    "InspectionKind",
    "IntervalProposal",
    "Joint",
    "JointFitting",
    "JointKind",
    "JointState",
    "Layout",
    "LayoutJoint",
    "LeaveTakenBack",
    "LineEntry",
    "LockedDay",
    "Mark",
    "MeterReading",
    "MeterUnit",
    "Outbox",
    "PartChange",
    "Pattern",
    "Person",
    "PersonPlan",
    "Photo",
    "PlanRun",
    "PlanRunYard",
    "Posting",
    "ReadOver",
    "Recheck",
    "RecheckDrive",
    "Reckoned",
    "RoadRelease",
    "RoadTest",
    "Role",
    "Rule",
    "RuleException",
    "Seal",
    "SecondCheck",
    "SelfCheckLeave",
    "Sight",
    "Skill",
    "StoredRequest",
    "Sweep",
    "SweepJoint",
    "Tablet",
    "TabletKey",
    "TabletOperation",
    "ThreadCondition",
    "Ticket",
    "TicketLine",
    "ToeReading",
    "ToolComparison",
    "ToolMishap",
    "ToolUse",
    "TorqueReading",
    "TorqueSpec",
    "TorqueTool",
    "TrailEntry",
    "Training",
    "Vehicle",
    "VehicleUse",
    "Visit",
    "VisitPerson",
    "VisitWork",
    "Webhook",
    "Yard",
    "YardMove",
    "YardMoveEnd",
    "YardPlan",
]
