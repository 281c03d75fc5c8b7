"""Reports: as JSON here, and as the same files that the pages hand over.

`format` (json, pdf, csv, xlsx) or the Accept header says which. Units stand in the headings of
the columns, and in `units` what they are to be.
"""

import json
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet
from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.fields import Strict
from fleet.operations.actor import Actor
from fleet.operations.take_out import Taken, take_out
from fleet.papers import reports, vehicle_file
from fleet.papers.blocks import governs
from fleet.papers.reports import FORMS, Made, Reader
from fleet.papers.table import Table, bare
from fleet.reads.cut import HAPPENED, KNOWN
from fleet.reads.days import today_at, zone_of
from fleet.reads.postings import yards_of_reader
from fleet.reads.reports.part_life import DISTANCE, HOURS, PartAsked
from fleet.reads.reports.vehicle_record import Span, TooLong, wrong_days
from fleet.reads.vehicle_file import vehicles_with_all_shown
from fleet.records.models import Vehicle, Yard

UNITS = [("us", "us"), ("metric", "metric")]


class FileRenderer(BaseRenderer):
    """Only chooses the form: the view hands the file over itself, and a problem stays JSON."""

    charset = None

    def render(self, data: Any, *args: Any, **kwargs: Any) -> bytes:
        return json.dumps(data, default=str).encode()


class AsPDF(FileRenderer):
    media_type, format = FORMS["pdf"], "pdf"


class AsCSV(FileRenderer):
    media_type, format = "text/csv", "csv"


class AsXLSX(FileRenderer):
    media_type, format = FORMS["xlsx"], "xlsx"


class Asked(Strict):
    units = serializers.ChoiceField(UNITS, required=False, help_text="Else the reader's own.")
    format = serializers.ChoiceField(
        ["json", *FORMS], required=False, help_text="In place of the Accept header."
    )


class DaysAsked(Asked):
    yard = serializers.SlugField(required=False, help_text="One yard; else all in scope.")
    since = serializers.DateField(required=False)
    until = serializers.DateField(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        said = super().validate(attrs)
        if wrong := wrong_days(said.get("since"), said.get("until"), None):
            raise ValidationError(wrong)
        return dict(said)


class PartsAsked(DaysAsked):
    run_in = serializers.ChoiceField([(DISTANCE, DISTANCE), (HOURS, HOURS)], required=False)


class FleetAsked(Asked):
    yard = serializers.SlugField(required=False, help_text="One yard; else all in scope.")
    not_since = serializers.DateField(required=False, help_text="No full look since this day.")


class RecordAsked(Asked):
    since = serializers.DateField(required=False)
    until = serializers.DateField(required=False, help_text="As it stood at the end of this day.")
    basis = serializers.ChoiceField(
        [(KNOWN, KNOWN), (HAPPENED, HAPPENED)], required=False,
        help_text="What was on record by then, or what had happened by then as entered up to now.",
    )  # fmt: skip
    section = serializers.SlugField(required=False, help_text="Of the file as CSV; else record.")


class ReportColumnOut(serializers.Serializer[Any]):
    key = serializers.CharField()
    heading = serializers.CharField(help_text="With the unit, where it has one.")
    kind = serializers.CharField(help_text="text, count, number, figure, day, month or moment.")


class ReportOut(serializers.Serializer[Any]):
    key = serializers.CharField()
    title = serializers.CharField()
    columns = ReportColumnOut(many=True)
    rows = serializers.ListField(child=serializers.DictField(), help_text="By column key.")
    notes = serializers.ListField(child=serializers.CharField())
    governs = serializers.CharField()


class RecordOut(serializers.Serializer[Any]):
    """The front-axle part of what 49 CFR 396.3(b) asks for, and called so."""

    unit_number = serializers.CharField()
    title = serializers.CharField()
    what_it_is = serializers.CharField()
    as_it_stood = serializers.CharField()
    identification = serializers.DictField(child=serializers.CharField())
    items_of_the_rule = serializers.DictField(child=serializers.CharField())
    sections = ReportOut(many=True)


def table_out(table: Table) -> dict[str, Any]:
    """A table as JSON: real numbers, dates as ISO 8601 writes them."""
    return {
        "key": table.key,
        "title": table.title,
        "columns": [
            {"key": each.key, "heading": str(each.heading), "kind": each.kind}
            for each in table.columns
        ],
        "rows": [
            {column.key: _value(cell) for cell, column in zip(row, table.columns, strict=True)}
            for row in table.rows
        ],
        "notes": list(table.notes),
        "governs": governs(),
    }


def _value(cell: Any) -> Any:
    value = bare(cell)
    return float(value) if isinstance(value, Decimal) else value


class Reports(Door):
    """Reports of the fleet. Counts and exposure, not rankings."""

    model = Vehicle
    renderer_classes = [JSONRenderer, AsPDF, AsCSV, AsXLSX]
    ability = {"parts": "view_reports", "fleet": "view_reports", "kept": "view_reports"}
    asks = {"parts": PartsAsked, "fleet": FleetAsked, "kept": DaysAsked}
    gives = {"parts": ReportOut, "fleet": ReportOut, "kept": ReportOut}

    def parts(self, request: Request, *args: Any, **kwargs: Any) -> Any:
        """Life by part number and lot."""
        said = self.asked()
        asked = PartAsked(said.get("since"), said.get("until"), said.get("run_in", DISTANCE))
        return self.told(lambda who: reports.parts(who, asked), said)

    def fleet(self, request: Request, *args: Any, **kwargs: Any) -> Any:
        """Each vehicle with its holds, its worst joint and what it owes."""
        said = self.asked()
        return self.told(lambda who: reports.fleet(who, said.get("not_since")), said)

    def kept(self, request: Request, *args: Any, **kwargs: Any) -> Any:
        """Rechecks owed, done in time, late and missed, by yard and month."""
        said = self.asked()
        return self.told(lambda who: reports.kept(who, said.get("since"), said.get("until")), said)

    def told(self, ask: Any, said: dict[str, Any]) -> Any:
        yards = self._yards(said)
        zone = zone_of(yards[0]) if len(yards) == 1 else ZoneInfo("UTC")
        with timezone.override(zone):
            who = self.reader(yards, said, zone)
            table = ask(who)
            if self.form == "json":
                return Response(ReportOut(table_out(table)).data)
            chosen = [yard.name for yard in yards]
            return handed(reports.report_file(table, self.form, who, chosen))

    @property
    def form(self) -> str:
        return str(self.request.accepted_renderer.format)

    def reader(self, yards: list[Yard], said: dict[str, Any], zone: ZoneInfo) -> Reader:
        person = self.actor.person
        return Reader(person, yards, said.get("units") or person.units, self.now, zone)

    def _yards(self, said: dict[str, Any]) -> list[Yard]:
        mine = yards_of_reader(self.actor.person)
        if "yard" not in said:
            return mine
        found = [yard for yard in mine if yard.slug == said["yard"]]
        if not found:
            raise ValidationError({"yard": _("There is no such yard among yours.")})
        return found


class VehicleRecords(Reports):
    """One vehicle's file. Taking it out leaves an entry in the trail."""

    ability = {"show": "take_file"}
    asks = {"show": RecordAsked}
    gives = {"show": RecordOut}
    lookup_field = "unit_number"
    lookup_value_regex = "[^/]+"

    def shown(self, rows: QuerySet[Vehicle]) -> QuerySet[Vehicle]:
        return vehicles_with_all_shown(self.actor.person)

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Any:
        """The front-axle record: whole, of some days, or as it stood on a day."""
        said, vehicle = self.asked(), self.get_object()
        span = Span(said.get("since"), said.get("until"), said.get("basis", KNOWN))
        if wrong := wrong_days(span.since, span.until, today_at(vehicle.yard, self.now)):
            raise ValidationError(wrong)
        zone = zone_of(vehicle.yard)
        with timezone.override(zone):
            who = self.reader([vehicle.yard], said, zone)
            try:
                sections = reports.record(who, vehicle, span)
            except TooLong as long:
                raise ValidationError({"since": reports.too_long(long)}) from long
            answer = self._answer(sections, who, said)
        taken = Taken(self.form, span.since, span.until, span.basis)
        take_out(Actor(who.person, "api"), vehicle.pk, taken, at=who.at)
        return answer

    def _answer(self, sections: Any, who: Reader, said: dict[str, Any]) -> Any:
        if self.form != "json":
            made = reports.record_file(sections, self.form, who, said.get("section", ""))
            return handed(made)
        told = {
            "unit_number": sections.record.vehicle.unit_number,
            "title": vehicle_file.title(),
            "what_it_is": vehicle_file.what_it_is(),
            "as_it_stood": vehicle_file.as_it_stood(sections.record),
            "identification": dict(vehicle_file.identification(sections)),
            "items_of_the_rule": dict(vehicle_file.items_of_the_rule()),
            "sections": [table_out(table) for table in sections.all()],
        }
        return Response(RecordOut(told).data)


def handed(made: Made) -> HttpResponse:
    answer = HttpResponse(made.content, content_type=made.media_type)
    answer["Content-Disposition"] = f'attachment; filename="{made.name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer
