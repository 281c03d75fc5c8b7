"""What took a while to make, put back as it was: the rows of every table, with their numbers."""

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction

from fleet.records.models import Person, Rule

Rows = list[tuple[type[models.Model], list[models.Model]]]


def is_empty() -> bool:
    """Nobody and no rule: then nothing else either."""
    return not Person.objects.exists() and not Rule.objects.exists()


def remember() -> Rows:
    """Every row of the records as it stands now."""
    found = [(model, list(model._default_manager.order_by("pk"))) for model in _tables()]
    return [(model, rows) for model, rows in found if rows]


def put_back(kept: Rows) -> None:
    """Write the rows into an empty database; foreign keys are looked at when all are there."""
    with transaction.atomic():
        for model, rows in kept:
            model._default_manager.bulk_create(rows)
        with connection.cursor() as cursor:
            # Numbering goes on after ours, where the database numbers by a sequence.
            for statement in connection.ops.sequence_reset_sql(no_style(), _tables()):
                cursor.execute(statement)


def _tables() -> list[type[models.Model]]:
    return list(apps.get_app_config("records").get_models())
