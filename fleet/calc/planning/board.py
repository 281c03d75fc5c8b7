"""The plan in the making: which piece stands on which day, who is at which yard, and what fits."""

from collections.abc import Iterable

from fleet.calc.planning.pieces import TIDY, Asked, Piece
from fleet.calc.planning.timetable import Job, Room, Slot, fit

LEFT_OUT = -1
#: Layouts that are remembered at once; a bound on memory (about 300 MB).
MOST_REMEMBERED = 400_000


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
        self.yards_of = _yards_of(pieces)
        self.of_vehicle: dict[str, list[int]] = {}
        for number, piece in enumerate(pieces):
            self.of_vehicle.setdefault(piece.vehicle, []).append(number)
        self.thorough = False
        for (yard, day), told in asked.locked.items():
            for one in told:
                for name in one.people:
                    if name in asked.person_number:
                        self.roster[asked.person_number[name]][day] = yard

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
        self.crews.pop((before, day), None)
        self.crews.pop((yard, day), None)

    def may_come(self, person: int, yard: int, day: int) -> bool:
        """Whether the plan may have a person at a yard on a day."""
        asked = self.asked
        one, place = asked.people[person], asked.yards[yard]
        if one.home == place.key:
            return True
        trip = place.trip_days is None or asked.days[day] in place.trip_days
        return trip and place.key in one.yards

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
        room = self.room(yard, day, crew)
        visits: dict[str, list[Job]] = {}
        hands = 0
        bay_minutes = 0
        for number in sorted(numbers):
            piece = self.pieces[number]
            job = self._job(piece, number, crew, room)
            if len(job.can) < piece.people:
                return None
            visits.setdefault(piece.vehicle, []).append(job)
            hands += piece.hands
            bay_minutes += piece.minutes
        setup = room.setup * len(visits)
        if hands + setup > sum(room.until) or bay_minutes + setup > room.bays * room.opening:
            return None
        return fit(room, [tuple(jobs) for jobs in visits.values()], self.thorough)

    def room(self, yard: int, day: int, crew: tuple[int, ...]) -> Room:
        place = self.asked.yards[yard]
        until = tuple(self.there(person, yard, day) for person in crew)
        return Room(place.bays, self.asked.opening(yard, day), place.setup_minutes, until)

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
        if self.elsewhere(piece, day):
            return False
        there = self.on.get((piece.yard, day), frozenset())
        return self.slots(piece.yard, day, there | {number}) is not None

    def elsewhere(self, piece: Piece, day: int) -> bool:
        """Whether its vehicle stands in another yard that day."""
        others = self.yards_of.get(piece.vehicle, ())
        return any(
            self.pieces[number].vehicle == piece.vehicle
            for yard in others
            if yard != piece.yard
            for number in self.on.get((yard, day), ())
        ) or any(
            told.vehicle == piece.vehicle
            for (yard, locked), day_told in self.asked.locked.items()
            if locked == day and yard != piece.yard
            for told in day_told
        )

    def put(self, number: int, day: int) -> None:
        place = (self.pieces[number].yard, day)
        self.on[place] = self.on.get(place, frozenset()) | {number}
        self.where[number] = day

    def take(self, number: int) -> None:
        place = (self.pieces[number].yard, self.where[number])
        self.on[place] = self.on[place] - {number}
        self.where[number] = LEFT_OUT

    def joins(self, number: int, day: int) -> bool:
        """Whether its vehicle is in the yard that day already."""
        piece = self.pieces[number]
        return any(
            self.pieces[other].vehicle == piece.vehicle
            for other in self.on.get((piece.yard, day), ())
        )

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


def _yards_of(pieces: list[Piece]) -> dict[str, tuple[int, ...]]:
    """Vehicles that have work in more than one yard, and those yards."""
    found: dict[str, set[int]] = {}
    for piece in pieces:
        found.setdefault(piece.vehicle, set()).add(piece.yard)
    return {key: tuple(sorted(yards)) for key, yards in found.items() if len(yards) > 1}
