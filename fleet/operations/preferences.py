"""A person's own language and units: a way of showing, not a fact of the record."""

from django.db import transaction

from fleet.operations.actor import Actor


@transaction.atomic
def choose_preferences(actor: Actor, *, language: str, units: str) -> None:
    """Keep how the actor wants to be spoken to."""
    actor.person.language = language
    actor.person.units = units
    actor.person.save(update_fields=["language", "units"])
