"""Addresses of the pages, composed of one small list a screen."""

from django.urls import URLPattern, URLResolver, path

from fleet.web import (
    bring_in,
    design,
    due,
    files,
    guide,
    health,
    joint,
    patterns,
    reckoner,
    set_up_urls,
    settings_page,
    specs,
    trail,
    vehicle,
    vehicles,
    writing_urls,
    yard,
)

urlpatterns: list[URLPattern | URLResolver] = [
    *writing_urls.urlpatterns,
    *set_up_urls.urlpatterns,
    path("", yard.home, name="yard"),
    path("yards/<slug:slug>/", yard.one_yard, name="one_yard"),
    path("vehicles/", vehicles.vehicle_list, name="vehicles"),
    path("vehicles/<str:unit_number>/", vehicle.vehicle_page, name="vehicle"),
    path("vehicles/<str:unit_number>/joints/<int:joint_id>/", joint.joint_page, name="joint"),
    path("due/", due.due_list, name="due"),
    path("files/", files.file_list, name="files"),
    path("files/<int:request_id>/", files.file_detail, name="file_detail"),
    path("patterns/", patterns.pattern_list, name="patterns"),
    path("patterns/<uuid:uid>/", patterns.pattern_page, name="pattern"),
    path("specs/", specs.specs_page, name="specs"),
    path("specs/designs/<int:design_id>/", design.design_page, name="design"),
    path("reckoner/", reckoner.reckoner, name="reckoner"),
    path("trail/", trail.trail_list, name="trail"),
    path("import/", bring_in.bring_in, name="bring_in"),
    path("import/<str:kind>.csv", bring_in.sample, name="bring_in_sample"),
    path("guide/", guide.guide, name="guide"),
    path("guide/<slug:who>/", guide.guide_chapter, name="guide_chapter"),
    path("settings/", settings_page.settings_page, name="settings"),
    path("healthz", health.healthz, name="healthz"),
]
