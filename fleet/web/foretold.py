"""What one joint's entry on a sheet would be recorded as, told while it is being typed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.operations.foretell import Foretold, foretell, tells
from fleet.reads.inspections import bare_row
from fleet.reads.joints import joints
from fleet.reads.rules import rules
from fleet.reads.tools import tools
from fleet.records.models import Person, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.sheet import SheetForm


@needs("inspect")
@about_vehicle
def inspection_foretell(request: HttpRequest, vehicle: Vehicle, joint_id: int) -> HttpResponse:
    """A piece of the sheet: read from the same inputs as when the sheet is sent."""
    person = reader(request)
    joint = in_scope(joints(person).filter(vehicle=vehicle), pk=joint_id)
    form = SheetForm(
        request.GET,
        [bare_row(joint)],
        people=Person.visible_to(person).none(),
        tools=tools(person).filter(in_use=True, yard=vehicle.yard_id),
    )
    # What is wrong with the conditions of the sheet is told when it is sent.
    form.is_valid()
    told = [one for one in foretold_by(person, vehicle, form) if tells(one)]
    return render(request, "inspection/foretold.html", {"told": told[0] if told else None})


def foretold_by(person: Person, vehicle: Vehicle, form: SheetForm) -> list[Foretold]:
    """Of every joint of which something was said; no query where nothing was."""
    said = form.looks(rules("finding")) if form.told else ()
    return foretell(person, vehicle, said, form.moment)
