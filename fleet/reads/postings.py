"""Where a person is posted, for the frame of every page."""

from fleet.records.models import Person, Yard


def yards_of_reader(person: Person) -> list[Yard]:
    """The reader's yards by name; one query."""
    return list(Yard.visible_to(person))
