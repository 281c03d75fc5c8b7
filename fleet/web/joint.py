"""One joint's whole life."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from fleet.reads.days import zone_of
from fleet.reads.intervals.joint import holds_here
from fleet.reads.joint_curve import joint_beside
from fleet.reads.joint_life import joint_life
from fleet.reads.joint_picture import holds_at, joint_picture
from fleet.reads.joints import joints, joints_of, with_state
from fleet.reads.photos import photos_of_joint
from fleet.reads.vehicles import holds_on
from fleet.web.doors import in_scope, needs, reader
from fleet.web.front_end import front_end_of

# What the drawing of a vehicle is made from.
_DRAWN = tuple(f"vehicle__design__{axis}" for axis in ("axle", "linkage", "knuckle", "hub"))


@needs("view_history")
def joint_page(request: HttpRequest, unit_number: str, joint_id: int) -> HttpResponse:
    person, now = reader(request), timezone.now()
    rows = with_state(joints(person)).filter(vehicle__unit_number=unit_number)
    joint = in_scope(rows.select_related(*_DRAWN), pk=joint_id)
    with timezone.override(zone_of(joint.vehicle.yard)):
        vehicle = joint.vehicle
        all_joints = joints_of(vehicle, now)
        life, holds = joint_life(person, joint, now), list(holds_at(joint))
        context = {
            "joint": joint,
            "vehicle": vehicle,
            "front": front_end_of(vehicle, all_joints, now, lambda _: "", only={joint.pk}),
            "holds": holds_on(vehicle),
            "life": life,
            "beside": joint_beside(joint),
            "hold": holds_here(person, joint, life.torques),
            "picture": joint_picture(life, holds, person.units, now),
            "photos": photos_of_joint(person, joint),
            "now": now,
        }
        return render(request, "joint/page.html", context)
