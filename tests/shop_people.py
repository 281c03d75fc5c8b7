"""The people of a test's fleet, able to sign in."""

from tests import people
from tests.operations.conftest import House


def with_password(house: House) -> House:
    """Its people can sign in."""
    for actor in (house.technician, house.colleague, house.manager):
        actor.person.set_password(people.PASSWORD)
        actor.person.save()
    return house
