"""What a day is laid out of: the room there is, jobs in visits, and where each job lies."""

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
