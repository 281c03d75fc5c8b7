"""Addresses of the plan."""

from django.urls import URLPattern, path

from fleet.web import plan, plan_people, plan_runs, plan_set_up, plan_visits

YARD, VISIT, RUN = "plan/at/<slug:slug>", "plan/visits/<int:visit_id>", "plan/runs/<int:run_id>"
PERSON, UNIT = "plan/people/<int:person_id>", "vehicles/<str:unit_number>"

urlpatterns: list[URLPattern] = [
    path("plan/", plan.plan_home, name="plan"),
    path(f"{YARD}/", plan.plan_yard, name="plan_yard"),
    path(f"{YARD}/sheet.pdf", plan.plan_paper, name="plan_paper"),
    path(f"{YARD}/lock/", plan.plan_lock, name="plan_lock"),
    path(f"{YARD}/ask/", plan_runs.plan_ask, name="plan_ask"),
    path(f"{YARD}/stands-on/", plan_set_up.set_up_page, name="plan_set_up"),
    path(f"{YARD}/hours/", plan_set_up.plan_hours, name="plan_hours"),
    path(f"{YARD}/closed/", plan_set_up.plan_closed, name="plan_closed"),
    path(
        "plan/closed/<int:closed_id>/drop/", plan_set_up.plan_closed_drop, name="plan_closed_drop"
    ),
    path(f"{PERSON}/", plan_people.plan_person, name="plan_person"),
    path(f"{PERSON}/off/", plan_people.plan_off, name="plan_off"),
    path("plan/off/<int:off_id>/drop/", plan_people.plan_off_drop, name="plan_off_drop"),
    path(f"{UNIT}/away/", plan_people.plan_away, name="plan_away"),
    path("plan/away/<int:away_id>/drop/", plan_people.plan_away_drop, name="plan_away_drop"),
    path(f"{UNIT}/plan/", plan_visits.plan_vehicle, name="plan_vehicle"),
    path(f"{VISIT}/move/", plan_visits.visit_move, name="visit_move"),
    path(f"{VISIT}/pin/", plan_visits.visit_pin, name="visit_pin"),
    path(f"{VISIT}/undo/", plan_visits.visit_undo, name="visit_undo"),
    path(f"{VISIT}/out/", plan_visits.visit_out, name="visit_out"),
    path(f"{RUN}/", plan_runs.plan_run, name="plan_run"),
    path(f"{RUN}/stop/", plan_runs.plan_stop, name="plan_stop"),
    path(f"{RUN}/take/", plan_runs.plan_take, name="plan_take"),
    path(f"{RUN}/leave/", plan_runs.plan_leave, name="plan_leave"),
]
