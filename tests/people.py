"""People in tests have roles for names."""

from typing import Any

from fleet.records.models import Person, Posting, Role, Yard

PASSWORD = "a quiet gravel road"


def person(name: str, role: str, *yards: Yard, **extra: Any) -> Person:
    """Somebody with a role, posted to these yards, or to all with `all_yards=True`."""
    who = Person.objects.create_user(
        username=name.lower().replace(" ", "-"), password=PASSWORD, name=name, role=role, **extra
    )
    Posting.objects.bulk_create(Posting(person=who, yard=yard) for yard in yards)
    return who


def manager(*yards: Yard, **extra: Any) -> Person:
    return person("Manager", Role.MANAGER, *yards, **{"all_yards": not yards, **extra})


def scheduler(*yards: Yard, **extra: Any) -> Person:
    return person("Scheduler", Role.SCHEDULER, *yards, **{"all_yards": not yards, **extra})


def technician(*yards: Yard, **extra: Any) -> Person:
    return person("Technician", Role.TECHNICIAN, *yards, **{"trained": True, **extra})


def colleague(*yards: Yard, **extra: Any) -> Person:
    """A second technician of the same yard."""
    return person("Colleague", Role.TECHNICIAN, *yards, **{"trained": True, **extra})


def stranger(*yards: Yard, **extra: Any) -> Person:
    """A technician of some other yard."""
    return person("Stranger", Role.TECHNICIAN, *yards, **extra)


def driver(*yards: Yard, **extra: Any) -> Person:
    return person("Driver", Role.DRIVER, *yards, **extra)


def reader(*yards: Yard, **extra: Any) -> Person:
    return person("Reader", Role.READER, *yards, **{"all_yards": not yards, **extra})


def integrator(*yards: Yard, **extra: Any) -> Person:
    return person("Integrator", Role.INTEGRATOR, *yards, **{"all_yards": not yards, **extra})


def speaks(who: Person, language: str) -> Person:
    """The same person, reading the pages in another language."""
    who.language = language
    who.save(update_fields=["language"])
    return who
