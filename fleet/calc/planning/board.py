"""The plan in the making: which piece stands on which day, who is at which yard, and what fits."""

from collections.abc import Iterable

from fleet.calc.planning.pieces import TIDY, Asked, Piece
from fleet.calc.planning.slots import Job, Room, Slot
from fleet.calc.planning.timetable import fit

LEFT_OUT = -1
#: Layouts that are remembered at once; a bound on memory (about 50 MB).
MOST_REMEMBERED = 50_000


class Load:
    """Minutes that stand on one yard's day, of people and of bays, without set-up; its vehicles."""

    __slots__ = ("bay", "hands", "setups", "vehicles")

    def __init__(self) -> None:
        self.hands = self.bay = 0
        #: Sum over visits of the least number of people that the set-up takes.
        self.setups = 0
        #: Pieces for one and for two, by vehicle.
        self.vehicles: dict[str, tuple[int, int]] = {}

    def setups_with(self, piece: Piece) -> int:
        """What `setups` would be with one more piece."""
        alone, paired = self.vehicles.get(piece.vehicle, (0, 0))
        if piece.people == 1:
            return self.setups + (0 if alone else 1 if not paired else -1)
        return self.setups + (0 if alone or paired else 2)

    def change(self, piece: Piece, by: int) -> None:
        """Add a piece (1) or take it off (-1)."""
        alone, paired = self.vehicles.pop(piece.vehicle, (0, 0))
        self.setups -= least_setup(alone, paired)
        self.hands += by * piece.hands
        self.bay += by * piece.minutes
        if piece.people == 1:
            alone += by
        else:
            paired += by
        self.setups += least_setup(alone, paired)
        if alone or paired:
            self.vehicles[piece.vehicle] = (alone, paired)


def least_setup(alone: int, paired: int) -> int:
    """How many people a visit's set-up takes at least: those of its first piece of work.

    >>> least_setup(1, 1), least_setup(0, 1), least_setup(0, 0)
    (1, 2, 0)
    """
    return 1 if alone else 2 if paired else 0


NOTHING = Load()


class Board:
    """Pieces put on days. `put` and `take` keep it true; nothing that does not fit is ever on it.

    `where` has the day of each piece or LEFT_OUT; `roster` the yard of each person each day.
    """

    def __init__(self, asked: Asked, pieces: list[Piece]) -> None:
        self.asked, self.pieces = asked, pieces
        self.where = [LEFT_OUT] * len(pieces)
        self.on: dict[tuple[int, int], frozenset[int]] = {}
        homes = [asked.yard_number.get(person.home, -1) for person in asked.people]
        self.roster = [[home] * len(asked.days) for home in homes]
        self.homes = homes
        self.fits: dict[tuple[object, ...], list[Slot] | None] = {}
        self.crews: dict[tuple[int, int], tuple[int, ...]] = {}
        self.rooms: dict[tuple[int, int], Room] = {}
        self.jobs: dict[tuple[int, int], dict[int, Job]] = {}
        self.loads: dict[tuple[int, int], Load] = {}
        self.yards_of = _yards_of(asked, pieces)
        self.of_vehicle: dict[str, list[int]] = {}
        for number, piece in enumerate(pieces):
            self.of_vehicle.setdefault(piece.vehicle, []).append(number)
        self.pinned: set[int] = set()
        #: Days on which pins stand are laid out with more patience than others.
        self.thorough: set[tuple[int, int]] = set()
        #: People whose yard on a day is asked for, and all who stay where they are that day.
        self.settled: set[tuple[int, int]] = set()
        self.bound: set[tuple[int, int]] = set()
        for (yard, day), told in asked.locked.items():
            for one in told:
                for name in one.people:
                    if name in asked.person_number:
                        self.roster[asked.person_number[name]][day] = yard
                        self.settled.add((asked.person_number[name], day))
        self.bound |= self.settled

    def crew(self, yard: int, day: int) -> tuple[int, ...]:
        """Who is at a yard on a day and works there."""
        found = self.crews.get((yard, day))
        if found is None:
            found = tuple(
                number
                for number, days in enumerate(self.roster)
                if days[day] == yard and self.there(number, yard, day) > 0
            )
            self.crews[yard, day] = found
        return found

    def there(self, person: int, yard: int, day: int) -> int:
        """Minutes that a person would have at a yard on a day."""
        asked = self.asked
        minutes = asked.people[person].minutes.get(asked.days[day], 0)
        if self.homes[person] != yard:
            minutes -= asked.yards[yard].travel_minutes
        return max(min(minutes, asked.opening(yard, day)), 0)

    def send(self, person: int, day: int, yard: int) -> None:
        """Put a person at a yard on a day; the caller sees to what stood there."""
        before = self.roster[person][day]
        self.roster[person][day] = yard
        for place in ((before, day), (yard, day)):
            self.crews.pop(place, None)
            self.rooms.pop(place, None)
            self.jobs.pop(place, None)

    def may_come(self, person: int, yard: int, day: int) -> bool:
        """Whether the plan may have a person at a yard on a day."""
        asked = self.asked
        one, place = asked.people[person], asked.yards[yard]
        if one.home == place.key:
            return True
        trip = place.trip_days is None or asked.days[day] in place.trip_days
        return trip and place.key in one.yards

    def bound_elsewhere(self, person: int, yard: int, day: int) -> bool:
        """Whether a pin or a locked day has them in another yard."""
        return (person, day) in self.settled and self.roster[person][day] != yard

    def slots(self, yard: int, day: int, numbers: frozenset[int]) -> list[Slot] | None:
        """Lay these pieces out, or None where they do not fit."""
        crew = self.crew(yard, day)
        key = (yard, day, crew, numbers)
        if key not in self.fits:
            if len(self.fits) > MOST_REMEMBERED:
                self.fits.clear()
            self.fits[key] = self._lay(yard, day, crew, numbers)
        return self.fits[key]

    def _lay(
        self, yard: int, day: int, crew: tuple[int, ...], numbers: frozenset[int]
    ) -> list[Slot] | None:
        room = self.room(yard, day)
        jobs = self.jobs.setdefault((yard, day), {})
        visits: dict[str, list[Job]] = {}
        for number in sorted(numbers):
            piece = self.pieces[number]
            job = jobs.get(number)
            if job is None:
                job = jobs[number] = self._job(piece, number, crew, room)
            if len(job.can) < piece.people:
                return None
            visits.setdefault(piece.vehicle, []).append(job)
        return fit(room, [tuple(found) for found in visits.values()], (yard, day) in self.thorough)

    def room(self, yard: int, day: int) -> Room:
        """Bays, minutes open, and when those who are there leave."""
        found = self.rooms.get((yard, day))
        if found is None:
            place = self.asked.yards[yard]
            until = tuple(self.there(person, yard, day) for person in self.crew(yard, day))
            found = Room(place.bays, self.asked.opening(yard, day), place.setup_minutes, until)
            self.rooms[yard, day] = found
        return found

    def _job(self, piece: Piece, number: int, crew: tuple[int, ...], room: Room) -> Job:
        people = self.asked.people
        can = tuple(
            place
            for place, person in enumerate(crew)
            if piece.skills <= people[person].skills
            and room.until[place] >= piece.minutes
            and (not piece.named or person in piece.named)
        )
        wished = next((p for p, n in enumerate(crew) if people[n].key == piece.wished), -1)
        return Job(number, piece.minutes, piece.people, can, wished)

    def may_put(self, number: int, day: int) -> bool:
        """Whether a piece fits on a day beside what stands there."""
        piece = self.pieces[number]
        place = (piece.yard, day)
        room, load = self.room(*place), self.loads.get(place, NOTHING)
        visits = len(load.vehicles) + (piece.vehicle not in load.vehicles)
        hands = load.hands + piece.hands + room.setup * load.setups_with(piece)
        bay = load.bay + piece.minutes + room.setup * visits
        if hands > sum(room.until) or bay > room.bays * room.opening:
            return False
        if piece.vehicle in self.yards_of and self.elsewhere(piece, day):
            return False
        there = self.on.get(place, frozenset())
        return self.slots(piece.yard, day, there | {number}) is not None

    def elsewhere(self, piece: Piece, day: int) -> bool:
        """Whether its vehicle stands in another yard that day."""
        return any(
            yard != piece.yard
            and (
                ((yard, day) in self.loads and piece.vehicle in self.loads[yard, day].vehicles)
                or any(
                    one.vehicle == piece.vehicle for one in self.asked.locked.get((yard, day), ())
                )
            )
            for yard in self.yards_of.get(piece.vehicle, ())
        )

    def put(self, number: int, day: int) -> None:
        piece = self.pieces[number]
        place = (piece.yard, day)
        self.on[place] = self.on.get(place, frozenset()) | {number}
        self.where[number] = day
        self.loads.setdefault(place, Load()).change(piece, 1)

    def take(self, number: int) -> None:
        piece = self.pieces[number]
        place = (piece.yard, self.where[number])
        self.on[place] = self.on[place] - {number}
        self.where[number] = LEFT_OUT
        self.loads[place].change(piece, -1)

    def joins(self, number: int, day: int) -> bool:
        """Whether its vehicle is in the yard that day already."""
        piece = self.pieces[number]
        return piece.vehicle in self.loads.get((piece.yard, day), NOTHING).vehicles

    def cost(self, numbers: Iterable[int]) -> float:
        """What the search weighs, of these pieces: lateness, moves, and visits to tell equals."""
        total = sum(self.pieces[number].cost[self.where[number]] for number in numbers)
        visits = {
            (self.pieces[number].vehicle, self.where[number])
            for number in numbers
            if self.where[number] != LEFT_OUT
        }
        return total + TIDY * len(visits)

    def objective(self) -> tuple[float, float]:
        """Weighted days late of hold work, and of the rest."""
        pairs = list(zip(self.pieces, self.where, strict=True))
        return sum(p.hold[day] for p, day in pairs), sum(p.late[day] for p, day in pairs)


def _yards_of(asked: Asked, pieces: list[Piece]) -> dict[str, tuple[int, ...]]:
    """Vehicles that have work in more than one yard, and those yards."""
    found: dict[str, set[int]] = {}
    for piece in pieces:
        found.setdefault(piece.vehicle, set()).add(piece.yard)
    for (yard, _), told in asked.locked.items():
        for one in told:
            found.setdefault(one.vehicle, set()).add(yard)
    return {key: tuple(sorted(yards)) for key, yards in found.items() if len(yards) > 1}
