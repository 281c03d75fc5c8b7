"""Every address of the REST door, each with a name."""

from typing import Any

from django.urls import URLPattern, path, re_path

from api.checks import Steps
from api.complaints import Complaints
from api.documents import Documents, Nowhere, Problems, Schema
from api.due import Due
from api.exceptions_of_rules import RuleExceptions
from api.feeds import Feeds
from api.files import Files
from api.fittings import Fittings
from api.foretell import Foretell
from api.foretell_line import ForetellLine
from api.holds import Holds
from api.inspections import Findings, Inspections
from api.intervals import Intervals
from api.life import Life
from api.lines import Lines
from api.many_readings import ManyReadings
from api.meters import Readings
from api.patterns import Patterns
from api.people import Me, People
from api.plan_days import PlanDays
from api.plan_runs import Runs
from api.reckon import DOORS, Reckoner
from api.reference import Designs, JointKinds, Rules, Specs
from api.reports import Reports, VehicleRecords
from api.rules import RuleChanges
from api.self_checks import Leaves, OneLeave
from api.steering import Steering
from api.sweeps import SweepJoints, Sweeps
from api.tablet_photos import Photos
from api.tablet_sync import Sync
from api.tablets import Carried, Enrol, TabletPeople
from api.tickets import Tickets
from api.tokens import Tokens
from api.tool_uses import ToolUseCorrections, ToolUses
from api.tools import Calibrations, Tools
from api.trail import Trail
from api.understood import ReadBack
from api.vehicles import Joints, VehicleJoints, Vehicles
from api.visits import Visits
from api.webhooks import Deliveries, Webhooks
from api.yard_moves import YardMoves
from api.yards import Yards

METHODS = ("get", "post", "patch", "delete")
READ = {"get": "list"}
ADD = {"get": "list", "post": "create"}
ONE = {"get": "retrieve"}


def _at(address: str, view: Any, name: str, **methods: str) -> URLPattern:
    found: URLPattern = path(f"v1/{address}", view.as_view(methods), name=f"api-{name}")
    return found


urlpatterns = [
    _at("token/", Tokens, "token", post="create", delete="destroy"),
    _at("me/", Me, "me", get="show"),
    _at("yards/", Yards, "yards", **ADD),
    _at("yards/<slug:slug>/", Yards, "yard", get="retrieve", patch="partial_update"),
    _at("people/", People, "people", **ADD),
    _at("people/<int:pk>/", People, "person", get="retrieve", patch="partial_update"),
    _at("people/<int:pk>/let-go/", People, "person-let-go", post="let_go"),
    _at("people/<int:pk>/take-back/", People, "person-take-back", post="take_back"),
    _at("people/<int:pk>/sign-in-link/", People, "person-link", post="sign_in_link"),
    _at("designs/", Designs, "designs", **READ),
    _at("designs/<int:pk>/", Designs, "design", **ONE),
    _at("joint-kinds/", JointKinds, "joint-kinds", **READ),
    _at("joint-kinds/<slug:code>/", JointKinds, "joint-kind", **ONE),
    _at("rules/", Rules, "rules", **READ),
    _at("rules/<int:pk>/", Rules, "rule", **ONE),
    _at("rules/<slug:kind>/<slug:key>/change/", RuleChanges, "rule-change", post="change"),
    _at("rules/<slug:kind>/<slug:key>/preview/", RuleChanges, "rule-preview", post="preview"),
    _at("rule-exceptions/", RuleExceptions, "rule-exceptions", **ADD),
    _at("rule-exceptions/<int:pk>/end/", RuleExceptions, "rule-exception-end", post="end"),
    _at("specs/", Specs, "specs", **READ),
    _at("specs/<int:pk>/", Specs, "spec", **ONE),
    _at("tools/", Tools, "tools", **READ),
    _at("tools/<str:code>/", Tools, "tool", **ONE),
    _at("tools/<str:code>/calibrations/", Calibrations, "calibrations", **READ),
    _at("tools/<str:code>/uses/", ToolUses, "tool-uses", **ADD),
    _at("tool-uses/<int:pk>/correct/", ToolUseCorrections, "tool-use-correct", post="correct"),
    _at("vehicles/", Vehicles, "vehicles", **ADD),
    _at("vehicles/<str:unit_number>/", Vehicles, "vehicle", get="retrieve", patch="partial_update"),
    _at("vehicles/<str:unit_number>/joints/", VehicleJoints, "vehicle-joints", **READ),
    _at("vehicles/<str:unit_number>/steering/", Steering, "vehicle-steering", get="show"),
    _at("joints/<int:pk>/", Joints, "joint", **ONE),
    _at("joints/<int:pk>/life/", Life, "joint-life", get="show"),
    _at("joints/<int:pk>/fitting/", Fittings, "joint-fitting", post="create"),
    _at("joints/<int:pk>/foretell/", Foretell, "joint-foretell", get="show"),
    _at("understood/", ReadBack, "understood", get="show"),
    _at("meter-readings/", Readings, "meter-readings", **ADD),
    _at("meter-readings/bulk/", ManyReadings, "meter-readings-bulk", post="create"),
    _at("meter-readings/<int:pk>/withdraw/", Readings, "reading-withdraw", post="withdraw"),
    _at("complaints/", Complaints, "complaints", **ADD),
    _at("complaints/<int:pk>/", Complaints, "complaint", **ONE),
    _at("complaints/<int:pk>/order/", Complaints, "complaint-order", get="order"),
    _at("complaints/<int:pk>/answers/", Complaints, "complaint-answers", post="answer"),
    _at("inspections/", Inspections, "inspections", **ADD),
    _at("inspections/<int:pk>/", Inspections, "inspection", **ONE),
    _at("findings/", Findings, "findings", **READ),
    _at("findings/<int:pk>/", Findings, "finding", **ONE),
    _at("tickets/", Tickets, "tickets", **ADD),
    _at("tickets/<int:pk>/", Tickets, "ticket", **ONE),
    _at("tickets/<int:pk>/lines/", Tickets, "ticket-lines", post="add_line"),
    _at("tickets/<int:pk>/cancel/", Tickets, "ticket-cancel", post="cancel"),
    _at("tickets/<int:pk>/second-check/", Steps, "ticket-second-check", post="second_check"),
    _at("tickets/<int:pk>/release/", Steps, "ticket-release", post="release"),
    _at("tickets/<int:pk>/road-test/", Steps, "ticket-road-test", post="road_test"),
    _at("tickets/<int:pk>/close/", Tickets, "ticket-close", post="close"),
    _at("tickets/<int:pk>/self-check-leaves/", Leaves, "ticket-leaves", **ADD),
    _at("self-check-leaves/<int:pk>/take-back/", OneLeave, "leave-take-back", post="take_back"),
    _at("lines/<int:pk>/entries/", Lines, "line-entries", post="record"),
    _at("lines/<int:pk>/foretell/", ForetellLine, "line-foretell", post="answer"),
    _at("lines/<int:pk>/drop/", Lines, "line-drop", post="drop"),
    _at("holds/", Holds, "holds", **ADD),
    _at("holds/<int:pk>/", Holds, "hold", **ONE),
    _at("holds/<int:pk>/lift/", Holds, "hold-lift", post="lift"),
    _at("yard-moves/", YardMoves, "yard-moves", **ADD),
    _at("yard-moves/<int:pk>/", YardMoves, "yard-move", **ONE),
    _at("yard-moves/<int:pk>/end/", YardMoves, "yard-move-end", post="end"),
    _at("file-requests/", Files, "file-requests", **ADD),
    _at("file-requests/<int:pk>/", Files, "file-request", **ONE),
    _at("file-requests/<int:pk>/answer/", Files, "file-request-answer", post="answer"),
    _at("file-requests/<int:pk>/withdraw/", Files, "file-request-withdraw", post="withdraw"),
    _at("due/", Due, "due", **READ),
    _at("due/hand-over/", Due, "due-assign", post="hand_over"),
    _at("due/<int:pk>/put-off/", Due, "due-put-off", post="put_off"),
    _at("due/<int:pk>/put-off/take-back/", Due, "due-put-off-back", post="take_back"),
    _at("due/<int:pk>/", Due, "due-one", get="retrieve", patch="partial_update"),
    _at("due/<int:pk>/road-test/", Due, "due-road-test", post="road_test"),
    _at("feeds/", Feeds, "feeds", **ADD),
    _at("feeds/<int:pk>/renew/", Feeds, "feed-renew", post="renew"),
    _at("feeds/<int:pk>/take-back/", Feeds, "feed-take-back", post="take_back"),
    _at("patterns/", Patterns, "patterns", **READ),
    _at("patterns/<int:pk>/", Patterns, "pattern", **ONE),
    _at("patterns/<int:pk>/judge/", Patterns, "pattern-judge", post="judge"),
    _at("intervals/", Intervals, "intervals", **READ),
    _at("intervals/<int:pk>/", Intervals, "interval", **ONE),
    _at("intervals/<int:pk>/accept/", Intervals, "interval-accept", post="accept"),
    _at("intervals/<int:pk>/decline/", Intervals, "interval-decline", post="decline"),
    _at("intervals/<int:pk>/take-back/", Intervals, "interval-take-back", post="take_back"),
    _at("plan/visits/", Visits, "visits", **READ),
    _at("plan/visits/<int:pk>/", Visits, "visit", **ONE),
    _at("plan/visits/<int:pk>/move/", Visits, "visit-move", post="move"),
    _at("plan/visits/<int:pk>/pin/", Visits, "visit-pin", post="pin"),
    _at("plan/visits/<int:pk>/take-out/", Visits, "visit-take-out", post="take_out"),
    _at("plan/visits/<int:pk>/undo/", Visits, "visit-undo", post="undo"),
    _at("plan/runs/", Runs, "plan-runs", **ADD),
    _at("plan/runs/<int:pk>/", Runs, "plan-run", **ONE),
    _at("plan/runs/<int:pk>/stop/", Runs, "plan-run-stop", post="stop"),
    _at("plan/runs/<int:pk>/take/", Runs, "plan-run-take", post="take"),
    _at("plan/runs/<int:pk>/leave/", Runs, "plan-run-leave", post="leave"),
    _at("yards/<slug:slug>/plan-days/", PlanDays, "plan-days", get="days", post="lock"),
    _at("sweeps/", Sweeps, "sweeps", **ADD),
    _at("sweeps/<int:pk>/", Sweeps, "sweep", **ONE),
    _at("sweeps/<int:pk>/joints/", SweepJoints, "sweep-joints", **READ),
    _at("sweeps/<int:pk>/close/", Sweeps, "sweep-close", post="close"),
    _at("sweeps/<int:pk>/take-back/", Sweeps, "sweep-take-back", post="take_back"),
    _at("reckon/", Reckoner, "reckon", get="show"),
    *(
        _at(f"reckon/{name}/", view, f"reckon-{name}", post="answer")
        for name, view in DOORS.items()
    ),
    _at("reports/parts/", Reports, "report-parts", get="parts"),
    _at("reports/fleet/", Reports, "report-fleet", get="fleet"),
    _at("reports/kept/", Reports, "report-kept", get="kept"),
    _at("reports/vehicles/<str:unit_number>/", VehicleRecords, "vehicle-record", get="show"),
    _at("tablet/enrol/", Enrol, "tablet-enrol", post="create"),
    _at("tablet/people/", TabletPeople, "tablet-people", post="create"),
    _at("tablet/pack/", Carried, "tablet-pack", get="pack"),
    _at("tablet/rules/", Carried, "tablet-rules", get="rules"),
    _at("tablet/sync/", Sync, "tablet-sync", post="create"),
    _at("tablet/photos/", Photos, "tablet-photos", post="create"),
    _at("webhooks/", Webhooks, "webhooks", **ADD),
    _at("webhooks/<int:pk>/", Webhooks, "webhook", get="retrieve", patch="partial_update"),
    _at("webhooks/<int:pk>/secret/", Webhooks, "webhook-secret", post="renew_secret"),
    _at("webhooks/<int:pk>/test/", Webhooks, "webhook-test", post="test"),
    _at("webhooks/<int:pk>/replay/", Webhooks, "webhook-replay", post="replay"),
    _at("webhooks/<int:pk>/send-again/", Webhooks, "webhook-again", post="send_again"),
    _at("deliveries/", Deliveries, "deliveries", **READ),
    _at("deliveries/<int:pk>/", Deliveries, "delivery", **ONE),
    _at("deliveries/<int:pk>/send-again/", Deliveries, "delivery-again", post="send_again"),
    _at("trail/", Trail, "trail", **READ),
    _at("problems/<slug:code>/", Problems, "problem", **ONE),
    path("v1/schema/", Schema.as_view(), name="api-schema"),
    path("v1/documents/", Documents.as_view(), name="api-documents"),
    re_path(r"^v1/.*$", Nowhere.as_view(dict.fromkeys(METHODS, "show")), name="api-nowhere"),
]
