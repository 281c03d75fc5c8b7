"""A fleet's own ground: its yards, its people, and the designs of its vehicles."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import available_timezones

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.text import slugify
from django.utils.translation import gettext as _

from fleet.calc import units
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused
from fleet.operations.words import unit_error
from fleet.operations.work import Done, Work, run
from fleet.records.models import Design, Layout, Person, Posting, Role, Yard


@dataclass(frozen=True)
class NewYard:
    name: str
    time_zone: str
    on_call_number: str
    far: bool = False
    bays: int = 1
    units: str = "us"


def add_yard(actor: Actor, new: NewYard, *, at: datetime) -> Done[Yard]:
    """Put a yard on file."""
    actor.need("edit_people")

    def apply(work: Work) -> Yard:
        found = []
        name = new.name.strip()
        if not slugify(name):
            found.append(Problem("name_missing", _("Give the yard a name."), field="name"))
        elif Yard.objects.filter(slug=slugify(name)).exists():
            found.append(Problem("name_taken", _("There is a yard of this name."), field="name"))
        if new.time_zone not in available_timezones():
            message = _("Type a time zone like America/Denver.")
            found.append(Problem("zone_unknown", message, field="time_zone"))
        if not new.on_call_number.strip():
            message = _("Give the number that a driver calls from the road.")
            found.append(Problem("number_missing", message, field="on_call_number"))
        if found:
            raise Refused(tuple(found))
        yard = Yard.objects.create(
            name=name, slug=slugify(name), time_zone=new.time_zone, far=new.far, bays=new.bays,
            on_call_number=new.on_call_number.strip(), units=new.units,
            working_days=[0, 1, 2, 3, 4],
        )  # fmt: skip
        work.trail("add_yard", yard, after={"name": yard.name})
        return yard

    return run("add_yard", actor, at, apply)


@dataclass(frozen=True)
class NewPerson:
    username: str
    name: str
    role: str
    password: str
    yard_ids: tuple[int, ...] = ()
    all_yards: bool = False
    trained: bool = False
    phone: str = ""


def add_person(actor: Actor, new: NewPerson, *, at: datetime) -> Done[Person]:
    """Give somebody a sign-in, a role and their yards."""
    actor.need("edit_people")

    def apply(work: Work) -> Person:
        found = _person_problems(actor, new)
        if found:
            raise Refused(tuple(found))
        person = Person.objects.create_user(
            new.username.strip(), new.password, name=new.name.strip(), role=new.role,
            all_yards=new.all_yards, trained=new.trained, phone=new.phone.strip(),
        )  # fmt: skip
        Posting.objects.bulk_create(Posting(person=person, yard_id=pk) for pk in new.yard_ids)
        work.trail("add_person", person, after={"role": person.role})
        return person

    return run("add_person", actor, at, apply)


def _person_problems(actor: Actor, new: NewPerson) -> list[Problem]:
    found = []
    username = new.username.strip().lower()
    if not username or not new.name.strip():
        found.append(Problem("name_missing", _("Give a sign-in name and a name."), field="name"))
    elif Person.objects.filter(username=username).exists():
        message = _("This sign-in name is taken.")
        found.append(Problem("username_taken", message, field="username"))
    if new.role not in Role.values or new.role == Role.SERVER:
        found.append(Problem("role_unknown", _("Choose a role from the list."), field="role"))
    mine = set(Yard.visible_to(actor.person).values_list("pk", flat=True))
    if not new.all_yards and not new.yard_ids:
        message = _("Choose the yards, or all yards.")
        found.append(Problem("yards_missing", message, field="yards"))
    if not set(new.yard_ids) <= mine or (new.all_yards and not actor.person.all_yards):
        found.append(Problem("yard_wrong", _("Choose among your own yards."), field="yards"))
    try:
        validate_password(new.password, Person(username=username, name=new.name))
    except ValidationError as error:
        found.append(Problem("password_weak", " ".join(error.messages), field="password"))
    return found


@dataclass(frozen=True)
class NewDesign:
    """A make's pattern: its layouts by code, and its toe figure as written."""

    name: str
    make: str
    axle: str
    linkage: str
    knuckle: str
    hub: str
    toe_low: str = ""
    toe_high: str = ""
    toe_source: str = ""
    tie_rod_ahead: bool = False


def add_design(actor: Actor, new: NewDesign, *, at: datetime) -> Done[Design]:
    """Put a design on file; vehicles of it get their joints from its layouts."""
    actor.need("edit_specs")

    def apply(work: Work) -> Design:
        layouts, found = _layouts(new)
        low, high = _toe(new.toe_low, "toe_low", found), _toe(new.toe_high, "toe_high", found)
        if not new.name.strip() or Design.objects.filter(name__iexact=new.name.strip()).exists():
            message = _("Give a name that no other design has.")
            found.append(Problem("name_wrong", message, field="name"))
        if low is not None and high is not None and high < low:
            message = _("The most toe-in is below the least.")
            found.append(Problem("toe_wrong", message, field="toe_high"))
        if found:
            raise Refused(tuple(found))
        typed = f"{new.toe_low.strip()} – {new.toe_high.strip()}" if low is not None else ""
        design = Design.objects.create(
            name=new.name.strip(), make=new.make.strip(), **layouts, toe_low_m=low,
            toe_high_m=high, toe_typed=typed, toe_source=new.toe_source.strip(),
            tie_rod_ahead=new.tie_rod_ahead,
        )  # fmt: skip
        work.trail("add_design", design, after={"name": design.name})
        return design

    return run("add_design", actor, at, apply)


def _layouts(new: NewDesign) -> tuple[dict[str, Layout], list[Problem]]:
    by_code = {(layout.axis, layout.code): layout for layout in Layout.objects.all()}
    layouts, found = {}, []
    for axis in ("axle", "linkage", "knuckle", "hub"):
        layout = by_code.get((axis, getattr(new, axis)))
        if layout is None:
            codes = ", ".join(code for a, code in by_code if a == axis)
            message = _("Choose one of: %(codes)s.") % {"codes": codes}
            found.append(Problem("layout_unknown", message, field=axis))
        else:
            layouts[axis] = layout
    return layouts, found


def _toe(typed: str, field: str, found: list[Problem]) -> float | None:
    if not typed.strip():
        return None
    try:
        return units.parse_length(typed, "in", signed=True).si
    except units.UnitError as error:
        found.append(unit_error(error, field))
        return None
