"""Addresses of setting up a fleet, and of its people."""

from django.urls import URLPattern, path

from fleet.web import design, people, read_over, set_up, tablets, welcome, yard_forms

PERSON = "people/<int:person_id>"
OPERATION = "tablets/operations/<int:operation_id>"

urlpatterns: list[URLPattern] = [
    path("set-up/", set_up.set_up_page, name="set_up"),
    path("set-up/fleet/", set_up.set_up_fleet, name="set_up_fleet"),
    path("set-up/rules/", set_up.set_up_rules, name="set_up_rules"),
    path("set-up/first-looks/", set_up.first_looks, name="first_looks"),
    path("set-up/yards/", yard_forms.yard_list, name="yard_list"),
    path("set-up/yards/new/", yard_forms.yard_new, name="yard_new"),
    path("set-up/yards/<int:yard_id>/", yard_forms.yard_change, name="yard_change"),
    path("specs/designs/new/", design.design_new, name="design_new"),
    path("people/", people.people_list, name="people"),
    path("people/new/", people.person_new, name="person_new"),
    path(f"{PERSON}/", people.person_page, name="person"),
    path(f"{PERSON}/change/", people.person_change, name="person_change"),
    path(f"{PERSON}/leave/", people.person_let_go, name="person_let_go"),
    path(f"{PERSON}/take-back/", people.person_take_back, name="person_take_back"),
    path(f"{PERSON}/link/", people.person_link, name="person_link"),
    path("tablets/", tablets.tablet_list, name="tablets"),
    path("tablets/new/", tablets.tablet_new, name="tablet_new"),
    path("tablets/read-over/", read_over.read_over_new, name="read_over_new"),
    path("tablets/read-over/<int:read_over_id>/", read_over.read_over_page, name="read_over"),
    path("tablets/<int:tablet_id>/", tablets.tablet_page, name="tablet"),
    path("tablets/<int:tablet_id>/revoke/", tablets.tablet_revoke, name="tablet_revoke"),
    path(f"{OPERATION}/take-in/", tablets.operation_take_in, name="operation_take_in"),
    path(f"{OPERATION}/leave/", tablets.operation_leave, name="operation_leave"),
    path("welcome/<str:token>/", welcome.welcome, name="welcome"),
]
