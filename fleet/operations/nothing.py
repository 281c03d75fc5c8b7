"""Nothing found: what has to be seen before a complaint can close so."""

from datetime import timedelta

from django.db.models import Q
from django.utils.translation import gettext as _

from fleet.operations.errors import Problem
from fleet.operations.looks import sees
from fleet.reads.rules import setting
from fleet.records.inspections import SOUND
from fleet.records.models import Complaint, Finding, Joint, Vehicle

# Looked at beside the hold joints: any shake begins with the tires.
ALSO = ("wheel_tyre",)


def problems(vehicle: Vehicle, complaints: list[Complaint]) -> list[Problem]:
    """Every hold joint and tire seen by a sufficient method, a dry steer, not the same again."""
    found = [problem for one in complaints for problem in _same_again(vehicle, one)]
    if found:
        return found
    since = max(complaint.occurred_at for complaint in complaints)
    looks = Finding.objects.filter(joint__vehicle=vehicle, occurred_at__gte=since, code__in=SOUND)
    seen = [look for look in looks.select_related("joint__kind") if sees(look.joint, look.method)]
    if not any(look.method == "dry_steer" for look in seen):
        message = _("Nothing found needs a dry steer: on the floor, on its wheels, wheels chocked.")
        found.append(Problem("dry_steer_missing", message))
    return found + _unseen(vehicle, {look.joint_id for look in seen})


def _same_again(vehicle: Vehicle, complaint: Complaint) -> list[Problem]:
    days = setting("same_complaint_days")
    before = Complaint.objects.filter(
        vehicle=vehicle, kind=complaint.kind, occurred_at__lt=complaint.occurred_at,
        occurred_at__gte=complaint.occurred_at - timedelta(days=days),
    )  # fmt: skip
    if not before.exists():
        return []
    message = _("The same complaint came within %(days)s days: it can't close as nothing found.")
    return [Problem("same_complaint", message % {"days": days})]


def _unseen(vehicle: Vehicle, seen: set[int]) -> list[Problem]:
    wanted = vehicle.joints.filter(
        Q(kind__holds=True) | Q(kind__code__in=ALSO), fitted=Joint.Fitted.FITTED
    )
    unseen = [joint.name for joint in wanted.select_related("kind") if joint.pk not in seen]
    if not unseen:
        return []
    message = _("Nothing found needs every hold joint looked at. Still to see: %(joints)s.")
    return [Problem("joints_unseen", message % {"joints": "; ".join(unseen)})]
