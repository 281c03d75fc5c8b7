"""Who does it, and through which door."""

from dataclasses import dataclass
from typing import Literal

from django.utils.translation import gettext as _

from fleet.operations.errors import NotAllowed, Problem
from fleet.records.models import Person, Role, Tablet

Door = Literal["web", "api", "task", "command", "tablet"]


@dataclass(frozen=True)
class Actor:
    person: Person
    door: Door = "web"
    tablet: Tablet | None = None

    def need(self, ability: str) -> None:
        """Raise NotAllowed unless the actor's role has the ability."""
        if not self.person.may(ability):
            message = _("Your role (%(role)s) may not do this.") % {
                "role": self.person.get_role_display()
            }
            raise NotAllowed((Problem("not_allowed", message),))


def server_actor(door: Door = "task") -> Actor:
    """The server itself: what it does by the clock stands under its own name."""
    person, _made = Person.objects.get_or_create(
        username="server",
        defaults={"name": "Axlekeep", "role": Role.SERVER, "all_yards": True, "is_active": False},
    )
    return Actor(person, door)
