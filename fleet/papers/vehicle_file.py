"""The front-axle part of a vehicle's maintenance file, as a document.

49 CFR 396.3(b) asks a motor carrier for identification, for a means to show what is due and when,
and for a record of inspection, repairs and maintenance by date and nature. This file holds the
front-axle part of that and is called so; it says what stands outside it.
"""

from datetime import datetime

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from fleet.calc.unit_table import KG_A_POUND
from fleet.papers import blocks, vehicle_words
from fleet.papers.blocks import Block, Head
from fleet.papers.measures import meter
from fleet.papers.table import Column, Marked, Part, Table, in_words
from fleet.papers.vehicle_pictures import NO_PICTURES, FilePictures
from fleet.papers.vehicle_tables import Sections
from fleet.reads.cut import HAPPENED
from fleet.reads.days import zone_of
from fleet.reads.reports.vehicle_record import VehicleRecord
from fleet.records.inspections import SOUND, mark_of
from fleet.records.models import Finding, Inspection, Vehicle


def title() -> str:
    return _("Front-axle part of the maintenance file")


def subject(vehicle: Vehicle) -> str:
    """'C-205, VIN 1X9...'; a vehicle without a VIN says so."""
    vin = vehicle.vin or _("none on file")
    return _("Unit %(unit)s, VIN %(vin)s") % {"unit": vehicle.unit_number, "vin": vin}


def vehicle_file(sections: Sections, at: datetime, pictures: FilePictures = NO_PICTURES) -> bytes:
    """The whole document as PDF, with such pictures as there are."""
    vehicle = sections.record.vehicle
    head = Head(title(), subject(vehicle), at, zone_of(vehicle.yard), sections.units, wide=True)
    made = [
        *_opening(sections), *pictures.front_end, *pictures.years, *_body(sections, pictures),
        *_outside(),
    ]  # fmt: skip
    return blocks.document(head, made)


def cover(sections: Sections) -> Table:
    """What the file is, of when, and of which vehicle: the first sheet of its tables."""
    rows = [
        [_("What this is"), title()],
        ["", what_it_is()],
        [_("Of when"), as_it_stood(sections.record)],
        [_("Caution"), blocks.governs()],
        *([label, text] for label, text in identification(sections)),
        *([item, where] for item, where in items_of_the_rule()),
    ]
    columns = [Column("what", _("What")), Column("text", _("As it is on file"))]
    return Table("file", _("This file"), columns, rows)


def _opening(sections: Sections) -> list[Block]:
    record = sections.record
    return [
        blocks.heading(f"{title()}: {record.vehicle.unit_number}", 1),
        blocks.text(what_it_is()),
        blocks.text(as_it_stood(record), "strong"),
        blocks.text(blocks.governs(), "caution"),
        blocks.heading(_("Identification")),
        blocks.facts(identification(sections)),
        *_changed_since(record),
    ]


def what_it_is() -> str:
    return _(
        "This is the front-axle part of what 49 CFR 396.3(b) asks for: identification, what is "
        "due and when, and the record of inspections, repairs and maintenance with date and "
        "nature. It is not the whole maintenance file of the vehicle."
    )


def as_it_stood(record: VehicleRecord) -> str:
    """Which days, and whether as known then or as entered up to now."""
    span = record.span
    if span.until is None and span.since is None:
        return _("The whole file, with all that is on record at printing.")
    if span.until is None:
        return _("From %(since)s on, with all that is on record at printing.") % {
            "since": vehicle_words.day(span.since)
        }
    said = {"until": vehicle_words.day(span.until), "zone": zone_of(record.vehicle.yard).key}
    if span.basis == HAPPENED:
        stood = _(
            "What had happened by the end of %(until)s (%(zone)s), as entered up to the time of "
            "printing. Some of it may not have been known on that day."
        )
    else:
        stood = _(
            "As it was known at the end of %(until)s (%(zone)s): only what had been recorded by "
            "then. What was entered later is not in it, though it may tell of an earlier day."
        )
    first = _("From %(since)s on.") % {"since": vehicle_words.day(span.since)} if span.since else ""
    return f"{stood % said} {first}".strip()


def identification(sections: Sections) -> list[tuple[str, str]]:
    """What 396.3(b)(1) names first, then what the front axle is."""
    vehicle, none = sections.record.vehicle, _("not on file")
    design = vehicle.design
    side = vehicle.get_steering_side_display()
    return [
        (_("Company number (unit)"), vehicle.unit_number),
        (_("Make and design"), f"{design.make}, {design.name}"),
        (_("Serial number (VIN)"), f"{vehicle.vin or none} {vehicle.vin_note}".strip()),
        (_("Year"), str(vehicle.model_year or none)),
        (_("Tire size"), vehicle.tyre_size or none),
        (_("Owner"), vehicle.owner_name or _("the fleet")),
        (_("Gross vehicle weight rating"), _weight(vehicle, sections.units) or none),
        (_("Yard"), vehicle.yard.name),
        (_("Duty"), str(capfirst(vehicle.get_duty_display()))),
        (_("In the fleet since"), in_words(vehicle.in_fleet_since, Column("", ""))),
        (_("Meter"), _meter(sections.record) or none),
        (_("Front axle"), design.axle.name),
        (_("Steering linkage"), f"{design.linkage.name}, {side}"),
        (_("Knuckles and hubs"), f"{design.knuckle.name}; {design.hub.name}"),
    ]


def _weight(vehicle: Vehicle, units: str) -> str:
    if vehicle.gross_weight_kg is None:
        return ""
    if units == "metric":
        return f"{vehicle.gross_weight_kg:,} kg"
    return f"{round(vehicle.gross_weight_kg / KG_A_POUND):,} lb"


def _meter(record: VehicleRecord) -> str:
    if record.meter is None:
        return ""
    figure = meter(record.meter.use_si, record.vehicle)
    when = vehicle_words.day(record.meter.occurred_at)
    return f"{figure:,} {record.vehicle.meter_unit}, {when}"


def _changed_since(record: VehicleRecord) -> list[Block]:
    """Identification is kept as it is now: later changes are told, with what was there before."""
    if record.span.until is None:
        return []
    said = [blocks.text(_("Identification is as on file at printing."), "soft")]
    told = [
        _("%(when)s: %(what)s was %(before)s") % {
            "when": vehicle_words.day(entry.at), "what": name.replace("_", " "), "before": before,
        }
        for entry in record.changed_since
        for name, before in entry.before.items()
    ]  # fmt: skip
    if told:
        said += [blocks.text(_("Changed after that day:"), "soft"), blocks.items(told)]
    return said


def _body(sections: Sections, pictures: FilePictures) -> list[Block]:
    made: list[Block] = []
    for each in (sections.owed(), sections.holds()):
        made += blocks.table(each)
    made += _inspections(sections)
    made += _repairs(sections)
    made += blocks.table(sections.torques())
    toe_heading, *toes = blocks.table(sections.toes())
    made += [toe_heading, *pictures.toe, *toes]
    made += [*blocks.table(sections.parts()), *blocks.table(sections.joints()), *pictures.joints]
    return [*made, *blocks.table(sections.complaints()), *blocks.table(sections.corrections())]


def _inspections(sections: Sections) -> list[Block]:
    """One row a sheet; joints found alike stand together, so that each is named once."""
    rows = [
        [sheet.occurred_at, str(capfirst(sheet.get_kind_display())), _people(sheet),
         meter(sheet.use_si, sections.record.vehicle), _alike(sheet, sections)]
        for sheet in sections.record.inspections
    ]  # fmt: skip
    table = sections.what_happened()
    columns = [
        table.columns[0], Column("kind", _("Nature"), width=0.9), Column("by", _("By")),
        table.columns[4], Column("found", _("What was found"), width=6),
    ]  # fmt: skip
    head = blocks.heading(_("Record of inspections"))
    if not rows:
        return [head, blocks.text(_("No inspection in these days."), "soft")]
    return [head, blocks.grid(columns, rows)]


def _people(sheet: Inspection) -> str:
    by, second = sheet.by.name, sheet.second_person
    return f"{by}, {second.name}" if second else by


def _alike(sheet: Inspection, sections: Sections) -> Marked:
    """'Play 1/8 in, past the line: ...; No play (dry steer): five joints by name'."""
    groups: dict[tuple[str, str], list[str]] = {}
    in_order = sorted(sheet.findings.all(), key=_sound)
    for one in in_order:
        method = sections.names.methods.get(one.method, one.method)
        told = [vehicle_words.found(one), f"({method})" if method else "",
                "" if one.response == "note" else f"[{one.get_response_display()}]"]  # fmt: skip
        pull = getattr(one, "torque", None)
        judged = "" if pull is not None else vehicle_words.judged(one)
        words = " ".join(each for each in (*told, judged) if each)
        groups.setdefault((words, mark_of(one.code)), []).append(one.joint.name)
    parts = [Part(f"{words}: {'; '.join(names)}", mark) for (words, mark), names in groups.items()]
    return Marked(parts, "\n")


def _sound(finding: Finding) -> tuple[bool, bool]:
    """What called for something first, then what was found, then what was sound."""
    return finding.response == Finding.Response.NOTE, finding.code in SOUND


def _repairs(sections: Sections) -> list[Block]:
    """Each ticket with its lines as recorded, and the steps out of it."""
    made = [blocks.heading(_("Record of repairs and maintenance"))]
    if not sections.record.jobs:
        return [*made, blocks.text(_("No repair in these days."), "soft")]
    columns = [
        Column("when", _("When"), width=1), Column("action", _("Nature"), width=1.6),
        Column("done", _("As recorded"), width=5), Column("by", _("By"), width=1),
    ]  # fmt: skip
    for job in sections.record.jobs:
        ticket = job.ticket
        said = {"n": ticket.pk, "title": ticket.title, "when": vehicle_words.day(ticket.opened_at)}
        name = _("Ticket %(n)s, opened %(when)s") % said
        ended = vehicle_words.how_it_ended(job)
        made.append(blocks.heading(f"{name}, {ended}", 3))
        if ticket.title:
            made.append(blocks.text(ticket.title))
        rows = [
            [one.entry.occurred_at if one.entry else None,
             vehicle_words.action(one, sections.names),
             vehicle_words.what_was_done(one, sections.names), vehicle_words.who_did(one)]
            for one in job.lines
        ]  # fmt: skip
        made += [blocks.grid(columns, rows)] if rows else []
        made += [blocks.text(step, "soft") for step in vehicle_words.steps(job)]
        if ticket.outcome and job.ended == ticket.State.CLOSED:
            made.append(blocks.text(ticket.outcome))
    return made


def items_of_the_rule() -> list[tuple[str, str]]:
    """Each item of 49 CFR 396.3(b), and where it stands: in this file, or outside it."""
    here, outside = _("in this file, under “%(section)s”"), _("outside this file")
    front = _("the front-axle part in this file, under “%(section)s”")
    both = _("the front-axle part in this file, under “%(one)s” and “%(other)s”")
    return [
        (_("Identification: company number, make, serial number, year, tire size; owner if not "
           "owned"), here % {"section": _("Identification")}),
        (_("Nature and due date of inspection and maintenance to be performed"),
         front % {"section": _("Due list")}),
        (_("Record of inspection, repairs and maintenance with date and nature"),
         both % {"one": _("Record of inspections"),
                 "other": _("Record of repairs and maintenance")}),
        (_("Record of tests of pushout windows, emergency doors and their marking lights on "
           "buses"), outside),
    ]  # fmt: skip


def _outside() -> list[Block]:
    columns = [
        Column("item", _("What 49 CFR 396.3(b) names"), width=3), Column("where", _("Where")),
    ]  # fmt: skip
    rest = _(
        "Outside this file too: every part of the vehicle other than the front axle, its "
        "location, steering, hubs and wheels; drivers' reports under 396.11; the yearly "
        "inspection report under 396.21; brake records."
    )
    return [
        blocks.heading(_("What this file holds of 49 CFR 396.3(b), and what it does not")),
        blocks.grid(columns, [list(row) for row in items_of_the_rule()]),
        blocks.text(rest),
    ]
