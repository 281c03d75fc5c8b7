"""What only one row may be called: two who take the same name at once are told alike."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import IntegrityError, transaction

from fleet.operations.errors import Problem, Refused


@contextmanager
def or_taken(problem: Problem) -> Iterator[None]:
    """Raise Refused with `problem` where the database says that the name is taken."""
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise Refused((problem,)) from error
