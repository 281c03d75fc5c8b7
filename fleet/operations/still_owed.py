"""What a sheet looked at and did not pay, each with the reason in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.units import use_from_si
from fleet.operations.settle import Short, shortfall
from fleet.operations.words import spoken_date
from fleet.reads.inspections import StillOwed
from fleet.reads.rules import setting
from fleet.records.models import Finding, Inspection, Recheck, TorqueReading, Vehicle

WORDS = {
    Short.NOT_REACHED: gettext_lazy("it was not reached"),
    Short.PROVES_NOTHING: gettext_lazy(
        "the wrench proves nothing: out of date, or below its figure"
    ),
    Short.BEFORE_HALF: gettext_lazy("before half its distance or days"),
}


@dataclass(frozen=True)
class About:
    """What the words need beside the recheck and the look."""

    vehicle: Vehicle
    methods: Mapping[str, str]


def still_owed(
    inspection: Inspection, found: Iterable[Finding], methods: Mapping[str, str]
) -> dict[int, list[StillOwed]]:
    """By finding: the rechecks of its joint that it did not pay and that are owed yet.

    Two queries. The findings come with their torques.
    """
    vehicle, share = inspection.vehicle, float(setting("retorque_counts_from"))
    findings = {row.joint_id: row for row in found}
    live = list(Recheck.objects.filter(
        vehicle=vehicle, joint__in=findings, state__in=Recheck.LIVE,
        started_at__lt=inspection.occurred_at,
    ).order_by("falls_on", "id"))  # fmt: skip
    kept: dict[int, list[StillOwed]] = {}
    for recheck in live:
        finding = findings[recheck.joint_id or 0]
        short = shortfall(recheck, vehicle, finding, _believed(finding), share)
        if short:
            why = _why(short, recheck, finding, About(vehicle, methods))
            kept.setdefault(finding.pk, []).append(StillOwed(recheck, why))
    return kept


def _believed(finding: Finding) -> bool:
    """Whether the wrench behind a finding proves anything; a look without one does."""
    torque = getattr(finding, "torque", None)
    return torque is None or (torque.tool_in_date and torque.band != TorqueReading.Band.BELOW)


def _why(short: Short, recheck: Recheck, finding: Finding, about: About) -> str:
    if short == Short.OTHER_METHOD:
        asked = ", ".join(about.methods.get(code, code) for code in recheck.methods)
        return _("it asks for: %(methods)s") % {"methods": asked}
    if short == Short.BEFORE_ITS_TIME:
        return _("not before %(when)s") % {"when": _not_yet(recheck, finding, about.vehicle)}
    return str(WORDS[short])


def _not_yet(recheck: Recheck, finding: Finding, vehicle: Vehicle) -> str:
    """What it had not reached: an hour of the day, a meter, or both."""
    parts = []
    if recheck.not_before is not None and finding.occurred_at < recheck.not_before:
        parts.append(spoken_date(recheck.not_before, vehicle, "DATETIME_FORMAT"))
    least = recheck.not_before_use_si
    if least is not None and (finding.use_si is None or finding.use_si < least):
        parts.append(f"{round(use_from_si(least, vehicle.meter_unit)):,} {vehicle.meter_unit}")
    if len(parts) > 1:
        return _("%(hour)s and %(meter)s") % {"hour": parts[0], "meter": parts[1]}
    return "".join(parts)
