"""What a day is laid out of: the room there is, jobs in visits, and where each job lies."""

from collections.abc import Sequence
from random import Random
from typing import NamedTuple


class Job(NamedTuple):
    """A piece in a visit: its number, minutes, hands at once, who can (places in the crew)."""

    piece: int
    minutes: int
    people: int
    can: tuple[int, ...]
    wished: int


class Slot(NamedTuple):
    """Where a job lies: bay from 0, minute at which hands begin, places in the crew."""

    piece: int
    bay: int
    start: int
    crew: tuple[int, ...]


class Room(NamedTuple):
    """Bays, minutes open, set-up minutes, and for each of the crew the minute they leave."""

    bays: int
    opening: int
    setup: int
    until: tuple[int, ...]


Visit = tuple[Job, ...]


def chance_of(visits: Sequence[Visit]) -> Random:
    """Chance that is the same for the same visits."""
    return Random(sum(job.piece * 31 + job.minutes for visit in visits for job in visit))  # noqa: S311
