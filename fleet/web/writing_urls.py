"""Addresses of the screens that write."""

from django.urls import URLPattern, path

from fleet.web import (
    alignment,
    complaint,
    due,
    exceptions,
    files,
    fitting,
    foretold,
    hold,
    inspection,
    intervals,
    meter,
    put_off,
    recheck_drive,
    rules,
    self_check,
    spec,
    sweeps,
    ticket,
    ticket_line,
    ticket_steps,
    tool,
    tool_uses,
    understood,
    vehicle_forms,
    yard_move,
)

UNIT, TICKET, TOOL = "vehicles/<str:unit_number>", "tickets/<int:ticket_id>", "tools/<int:tool_id>"

urlpatterns: list[URLPattern] = [
    # Before the vehicle's own page, which would take "new" for a unit number.
    path("vehicles/new/", vehicle_forms.vehicle_new, name="vehicle_new"),
    path(f"{UNIT}/change/", vehicle_forms.vehicle_change, name="vehicle_change"),
    path(f"{UNIT}/lay-up/", vehicle_forms.vehicle_lay_up, name="vehicle_lay_up"),
    path(f"{UNIT}/bring-back/", vehicle_forms.vehicle_bring_back, name="vehicle_bring_back"),
    path(f"{UNIT}/let-go/", vehicle_forms.vehicle_let_go, name="vehicle_let_go"),
    path(f"{UNIT}/complaint/", complaint.complaint_new, name="complaint_new"),
    path("complaints/<int:complaint_id>/", complaint.complaint_detail, name="complaint_detail"),
    path(
        "complaints/<int:complaint_id>/answer/",
        complaint.complaint_answer,
        name="complaint_answer",
    ),
    path(f"{UNIT}/meter/", meter.meter_new, name="meter_new"),
    path(f"{UNIT}/meter/<int:reading_id>/withdraw/", meter.meter_withdraw, name="meter_withdraw"),
    path(f"{UNIT}/joints/<int:joint_id>/fitting/", fitting.fitting_new, name="fitting_new"),
    path(f"{UNIT}/file/", files.file_new, name="file_new"),
    path("files/<int:request_id>/answer/", files.file_answer, name="file_answer"),
    path("files/<int:request_id>/withdraw/", files.file_withdraw, name="file_withdraw"),
    path(f"{UNIT}/inspect/", inspection.inspection_new, name="inspection_new"),
    path(
        f"{UNIT}/inspect/foretell/<int:joint_id>/",
        foretold.inspection_foretell,
        name="inspection_foretell",
    ),
    path("understood/", understood.read_back, name="understood"),
    path(
        "inspections/<int:inspection_id>/", inspection.inspection_detail, name="inspection_detail"
    ),
    path("due/assign/", due.due_assign, name="due_assign"),
    path("due/<int:recheck_id>/put-off/", put_off.due_put_off, name="due_put_off"),
    path(
        "due/<int:recheck_id>/put-off/take-back/", put_off.due_put_off_back, name="due_put_off_back"
    ),
    path(f"{UNIT}/exceptions/", exceptions.exception_list, name="exception_list"),
    path(f"{UNIT}/exceptions/new/", exceptions.exception_new, name="exception_new"),
    path("exceptions/<int:exception_id>/end/", exceptions.exception_end, name="exception_end"),
    path("specs/rules/<slug:kind>/<slug:key>/change/", rules.rule_change, name="rule_change"),
    path(
        "specs/rules/<slug:kind>/<slug:key>/back/<int:version>/", rules.rule_back, name="rule_back"
    ),
    path("due/<int:recheck_id>/road-test/", recheck_drive.recheck_drive, name="recheck_drive"),
    path(f"{UNIT}/hold/", hold.hold_new, name="hold_new"),
    path("holds/<int:hold_id>/lift/", hold.hold_lift, name="hold_lift"),
    path(f"{UNIT}/move/", yard_move.yard_move_new, name="yard_move_new"),
    path("moves/<int:move_id>/end/", yard_move.yard_move_end, name="yard_move_end"),
    path("tickets/", ticket.ticket_list, name="ticket_list"),
    path(f"{UNIT}/ticket/", ticket.ticket_new, name="ticket_new"),
    path(f"{TICKET}/", ticket.ticket_detail, name="ticket_detail"),
    path(f"{TICKET}/lines/new/", ticket_line.line_new, name="line_new"),
    path(f"{TICKET}/lines/<int:line_id>/", ticket_line.line_record, name="line_record"),
    path(f"{TICKET}/lines/<int:line_id>/told/", ticket_line.line_told, name="line_told"),
    path(f"{TICKET}/lines/<int:line_id>/drop/", ticket_line.line_drop, name="line_drop"),
    path(f"{TICKET}/check/", ticket_steps.ticket_check, name="ticket_check"),
    path(f"{TICKET}/leave/", self_check.leave_new, name="leave_new"),
    path(f"{TICKET}/leave/<int:leave_id>/end/", self_check.leave_end, name="leave_end"),
    path(f"{TICKET}/release/", ticket_steps.ticket_release, name="ticket_release"),
    path(f"{TICKET}/road-test/", ticket_steps.ticket_road_test, name="ticket_road_test"),
    path(f"{TICKET}/close/", ticket_steps.ticket_close, name="ticket_close"),
    path(f"{TICKET}/cancel/", ticket_steps.ticket_cancel, name="ticket_cancel"),
    path(
        "specs/designs/<int:design_id>/alignment/",
        alignment.design_alignment,
        name="design_alignment",
    ),
    path("specs/intervals/aims/", intervals.interval_aims, name="interval_aims"),
    path("specs/intervals/<uuid:uid>/take-back/", intervals.interval_back, name="interval_back"),
    path("specs/new/", spec.spec_new, name="spec_new"),
    path("tools/new/", tool.tool_new, name="tool_new"),
    path("sweeps/", sweeps.sweep_list, name="sweeps"),
    path("sweeps/new/", sweeps.sweep_new, name="sweep_new"),
    path("sweeps/<uuid:uid>/", sweeps.sweep_page, name="sweep"),
    path("sweeps/<uuid:uid>/close/", sweeps.sweep_close, name="sweep_close"),
    path("sweeps/<uuid:uid>/take-back/", sweeps.sweep_back, name="sweep_back"),
    path(f"{TOOL}/", tool_uses.tool_page, name="tool"),
    path(f"{TOOL}/used/", tool_uses.tool_used, name="tool_used"),
    path(
        f"{TOOL}/used/<int:use_id>/correct/", tool_uses.tool_use_correct, name="tool_use_correct"
    ),
    path(f"{TOOL}/calibrate/", tool.tool_calibrate, name="tool_calibrate"),
    path(f"{TOOL}/compare/", tool.tool_compare, name="tool_compare"),
    path(f"{TOOL}/length/", tool.tool_length, name="tool_length"),
    path(f"{TOOL}/mishap/", tool.tool_mishap, name="tool_mishap"),
]
