"""Pins and locked days put first; when they can't all be kept, which of them clash."""

from collections.abc import Iterator
from itertools import combinations

from fleet.calc.planning.answer import Clash, Limit, NoPlan
from fleet.calc.planning.asked import Assignment, Pin, Work
from fleet.calc.planning.board import Board, Load
from fleet.calc.planning.greedy import send_a_crew
from fleet.calc.planning.pieces import Asked


def put_pins(board: Board) -> None:
    """Put pinned work on the board, and send who is needed for it.

    Raises
    ------
    NoPlan
        With a minimal set of pins and limits for each trouble.
    """
    asked = board.asked
    works = {one.key: one for one in asked.work}
    found = [clash for pin in asked.pins.values() for clash in _alone(asked, pin, works[pin.work])]
    found += [
        clash for told in asked.locked.values() for one in told for clash in _locked(asked, one)
    ]
    found += _two_places(asked, works)
    if found:
        raise NoPlan(tuple(found))
    places = _put(board)
    found = [clash for place in places if (clash := _too_many(board, *place)) is not None]
    if found:
        raise NoPlan(tuple(found))
    found = [clash for place in places if (clash := _together(board, *place)) is not None]
    if found:
        raise NoPlan(tuple(found))
    for yard, day in places:
        board.bound |= {(person, day) for person in board.crew(yard, day)}


def _alone(asked: Asked, pin: Pin, work: Work) -> Iterator[Clash]:
    """What a pin runs into by itself: the calendar, the vehicle, the people it names."""
    yard, day = pin.yard or work.yard, pin.day
    limits = []
    if yard not in asked.yard_number:
        limits.append(Limit.NO_SUCH_YARD)
    elif not asked.yards[asked.yard_number[yard]].opening.get(day):
        limits.append(Limit.CLOSED)
    if day not in asked.day_number:
        limits.append(Limit.NOT_IN_PLAN)
    elif (asked.yard_number.get(yard), asked.day_number[day]) in asked.locked:
        limits.append(Limit.LOCK)
    if work.earliest is not None and day < work.earliest:
        limits.append(Limit.BEFORE_EARLIEST)
    if day in asked.standing.away.get(work.vehicle, ()):
        limits.append(Limit.VEHICLE_AWAY)
    if pin.people and len(set(pin.people)) != work.people:
        limits.append(Limit.PAIR)
    for limit in limits:
        yield Clash((limit,), (pin.work,), day, (yard,), (work.vehicle,))
    if not limits:
        for name in pin.people:
            for limit in _named(asked, name, yard, work, pin):
                yield Clash((limit,), (pin.work,), day, (yard,), (work.vehicle,), (name,))


def _named(asked: Asked, name: str, yard: str, work: Work, pin: Pin) -> Iterator[Limit]:
    if name not in asked.person_number:
        yield Limit.PERSON_THERE
        return
    person = asked.people[asked.person_number[name]]
    place = asked.yards[asked.yard_number[yard]]
    trip = place.trip_days is None or pin.day in place.trip_days
    comes = person.home == yard or (yard in person.yards and trip)
    if not comes or not person.minutes.get(pin.day):
        yield Limit.PERSON_THERE
    elif not work.skills <= person.skills:
        yield Limit.PERSON_SKILL


def _locked(asked: Asked, one: Assignment) -> Iterator[Clash]:
    """What has changed since a locked day was told."""
    if not asked.yards[asked.yard_number[one.yard]].opening.get(one.day):
        yield Clash((Limit.LOCK, Limit.CLOSED), (one.work,), one.day, (one.yard,), (one.vehicle,))
    if one.day in asked.standing.away.get(one.vehicle, ()):
        limits = (Limit.LOCK, Limit.VEHICLE_AWAY)
        yield Clash(limits, (one.work,), one.day, (one.yard,), (one.vehicle,))
    for name in one.people:
        number = asked.person_number.get(name)
        if number is None or not asked.people[number].minutes.get(one.day):
            limits = (Limit.LOCK, Limit.PERSON_THERE)
            yield Clash(limits, (one.work,), one.day, (one.yard,), (one.vehicle,), (name,))


def _two_places(asked: Asked, works: dict[str, Work]) -> Iterator[Clash]:
    """A vehicle, or a person named, in two yards on one day."""
    stands = [
        (pin.work, works[pin.work].vehicle, pin.yard or works[pin.work].yard, pin.day, pin.people)
        for pin in asked.pins.values()
    ]
    stands += [
        (one.work, one.vehicle, one.yard, one.day, one.people)
        for told in asked.locked.values()
        for one in told
    ]
    for one, two in combinations(stands, 2):
        if one[3] != two[3] or one[2] == two[2]:
            continue
        both, yards = (one[0], two[0]), (one[2], two[2])
        if one[1] == two[1]:
            yield Clash((Limit.VEHICLE_ONE_YARD,), both, one[3], yards, (one[1],))
        people = tuple(sorted(set(one[4]) & set(two[4])))
        if people:
            vehicles = (one[1], two[1])
            yield Clash((Limit.PERSON_ONE_YARD,), both, one[3], yards, vehicles, people)


def _put(board: Board) -> list[tuple[int, int]]:
    """Put them on, with the people they name; return the yards and days they stand on."""
    places: dict[tuple[int, int], None] = {}
    for number, piece in enumerate(board.pieces):
        if board.asked.work[piece.works[0]].key in board.asked.pins:
            day = piece.days[0]
            board.pinned.add(number)
            board.put(number, day)
            places[piece.yard, day] = None
            for person in piece.named:
                board.send(person, day, piece.yard)
                board.bound.add((person, day))
                board.settled.add((person, day))
    board.thorough |= set(places)
    return list(places)


def _too_many(board: Board, yard: int, day: int) -> Clash | None:
    """More people from elsewhere named than may come on one day."""
    asked, most = board.asked, board.asked.yards[yard].crew
    named: dict[int, str] = {}
    for number in sorted(board.on[yard, day]):
        piece = board.pieces[number]
        for person in piece.named:
            if board.homes[person] != yard:
                named.setdefault(person, asked.work[piece.works[0]].key)
    if most is None or len(named) <= most:
        return None
    few = dict(list(named.items())[: most + 1])
    people = tuple(asked.people[person].key for person in few)
    works = tuple(dict.fromkeys(few.values()))
    return Clash((Limit.CREW,), works, asked.days[day], (asked.yards[yard].key,), (), people)


def _together(board: Board, yard: int, day: int) -> Clash | None:
    """Pinned work of one yard and day that does not fit together, as little of it as clashes."""
    numbers = board.on[yard, day]
    if board.slots(yard, day, numbers) is not None:
        return None
    send_a_crew(board, yard, day)
    if board.slots(yard, day, numbers) is not None:
        return None
    for number in sorted(numbers):
        fewer = numbers - {number}
        if fewer and board.slots(yard, day, fewer) is None:
            numbers = fewer
    pieces = [board.pieces[number] for number in sorted(numbers)]
    asked = board.asked
    return Clash(
        _runs_into(board, yard, day, sorted(numbers)),
        tuple(asked.work[which].key for piece in pieces for which in piece.works),
        asked.days[day],
        (asked.yards[yard].key,),
        tuple(dict.fromkeys(piece.vehicle for piece in pieces)),
        tuple(dict.fromkeys(asked.people[p].key for piece in pieces for p in piece.named)),
    )


def _runs_into(board: Board, yard: int, day: int, numbers: list[int]) -> tuple[Limit, ...]:
    """Which minutes are too few; AT_ONCE where all are enough but not at the same time."""
    pieces, room, load = [board.pieces[n] for n in numbers], board.room(yard, day), Load()
    crew, limits = board.crew(yard, day), []
    for piece in pieces:
        load.change(piece, 1)
        able = [p for p in crew if piece.skills <= board.asked.people[p].skills]
        if len(able) < piece.people and Limit.PEOPLE_THERE not in limits:
            limits.append(Limit.PEOPLE_THERE)
    longest = max(piece.minutes for piece in pieces) + room.setup
    bays = load.bay + room.setup * len(load.vehicles)
    if bays > room.bays * room.opening or longest > room.opening:
        limits.append(Limit.BAY_MINUTES)
    hands = load.hands + room.setup * load.setups
    if not limits and (hands > sum(room.until) or longest > max(room.until, default=0)):
        limits.append(Limit.PEOPLE_MINUTES)
    return tuple(limits) or (Limit.AT_ONCE,)
