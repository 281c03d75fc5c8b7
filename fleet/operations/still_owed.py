"""What a sheet looked at and did not pay, each with the reason in words."""

from collections.abc import Iterable, Mapping

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
            why = _why(short, recheck, vehicle, methods)
            kept.setdefault(finding.pk, []).append(StillOwed(recheck, why))
    return kept


def _believed(finding: Finding) -> bool:
    """Whether the wrench behind a finding proves anything; a look without one does."""
    torque = getattr(finding, "torque", None)
    return torque is None or (torque.tool_in_date and torque.band != TorqueReading.Band.BELOW)


def _why(short: Short, recheck: Recheck, vehicle: Vehicle, methods: Mapping[str, str]) -> str:
    if short == Short.OTHER_METHOD:
        asked = ", ".join(methods.get(code, code) for code in recheck.methods)
        return _("it asks for: %(methods)s") % {"methods": asked}
    if short == Short.BEFORE_ITS_TIME:
        return _("not before %(when)s") % {"when": not_before_words(recheck, vehicle)}
    return str(WORDS[short])


def not_before_words(recheck: Recheck, vehicle: Vehicle) -> str:
    """From when on a look counts: an hour of the day, a meter, or its date."""
    parts = []
    if recheck.not_before is not None:
        parts.append(spoken_date(recheck.not_before, vehicle, "DATETIME_FORMAT"))
    if recheck.not_before_use_si is not None:
        figure = use_from_si(recheck.not_before_use_si, vehicle.meter_unit)
        parts.append(f"{round(figure):,} {vehicle.meter_unit}")
    return _(" and ").join(parts)
