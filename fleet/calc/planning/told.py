"""The board as people read it: assignments, loads, what is moved, and the figures."""

from collections import Counter

from fleet.calc.planning.answer import Late, Load, PersonLoad, Plan
from fleet.calc.planning.asked import Assignment
from fleet.calc.planning.board import Board
from fleet.calc.planning.slots import Slot
from fleet.calc.planning.why import unplaced


def told(
    board: Board,
    seconds: float,
    bounds: tuple[float, float] = (0.0, 0.0),
    stopped: bool = False,
    rounds: int = 0,
) -> Plan:
    """Return the plan that the board holds; `bounds` of hold work and of the rest."""
    assignments = _assignments(board)
    hold, late = board.objective()
    bound = min(sum(bounds), hold + late)
    objective = hold + late
    return Plan(
        assignments, unplaced(board), objective, bound,
        (objective - bound) / objective if objective else 0.0, hold, min(bounds[0], hold),
        _moved(board, assignments), _loads(board, assignments), _people(board, assignments),
        seconds, stopped, rounds, _late(board),
    )  # fmt: skip


def _assignments(board: Board) -> tuple[Assignment, ...]:
    found: list[Assignment] = []
    for (yard, day), numbers in board.on.items():
        slots = board.slots(yard, day, numbers) if numbers else None
        if slots is None:
            continue
        crew, after = board.crew(yard, day), Counter[int]()
        for slot in sorted(slots, key=lambda one: (one.bay, one.start)):
            for one in _of_slot(board, slot, (yard, day), crew, after[slot.bay]):
                after[slot.bay] += 1
                found.append(one)
    found += [one for told_ones in board.asked.locked.values() for one in told_ones]
    return tuple(sorted(found, key=lambda one: (one.day, one.yard, one.bay, one.order)))


def _of_slot(
    board: Board, slot: Slot, place: tuple[int, int], crew: tuple[int, ...], before: int
) -> list[Assignment]:
    asked, start, found = board.asked, slot.start, []
    names = tuple(asked.people[crew[one]].key for one in slot.crew)
    for order, which in enumerate(board.pieces[slot.piece].works, before + 1):
        work = asked.work[which]
        found.append(
            Assignment(
                work.key, work.vehicle, asked.yards[place[0]].key, asked.days[place[1]],
                slot.bay + 1, order, start, work.minutes, names,
            )
        )  # fmt: skip
        start += work.minutes
    return found


def _moved(board: Board, assignments: tuple[Assignment, ...]) -> tuple[str, ...]:
    now = {one.work: (one.yard, one.day) for one in assignments}
    asked_for = {one.key for one in board.asked.work}
    return tuple(
        one.work
        for one in board.asked.standing.previous
        if one.work in asked_for
        and one.day in board.asked.day_number
        and now.get(one.work) != (one.yard, one.day)
    )


def _late(board: Board) -> tuple[Late, ...]:
    """Of each piece that is late, the share of each work in it."""
    asked, found = board.asked, {}
    for piece, day in zip(board.pieces, board.where, strict=True):
        late = piece.hold[day] + piece.late[day]
        if late > 0:
            works = [asked.work[which] for which in piece.works]
            whole = sum(one.weight for one in works)
            for which, one in zip(piece.works, works, strict=True):
                when = asked.days[day] if day >= 0 else None
                found[which] = Late(one.key, when, late * one.weight / whole)
    return tuple(found[which] for which in sorted(found))


def _spent(board: Board, assignments: tuple[Assignment, ...]) -> tuple[Counter[object], ...]:
    """Minutes of bays by (yard, day), and of people by (person, day), set-up included."""
    bays, hands, people = Counter[object](), Counter[object](), Counter[object]()
    seen = set()
    for one in sorted(assignments, key=lambda one: one.start):
        setup = board.asked.yards[board.asked.yard_number[one.yard]].setup_minutes
        first = (one.vehicle, one.yard, one.day) not in seen
        seen.add((one.vehicle, one.yard, one.day))
        bays[one.yard, one.day] += one.minutes + first * setup
        for name in one.people:
            minutes = one.minutes + first * setup
            hands[one.yard, one.day] += minutes
            people[name, one.day] += minutes
    return bays, hands, people


def _loads(board: Board, assignments: tuple[Assignment, ...]) -> tuple[Load, ...]:
    bays, hands, _ = _spent(board, assignments)
    asked, found = board.asked, []
    for day, date in enumerate(asked.days):
        for number, yard in enumerate(asked.yards):
            if asked.opening(number, day) <= 0:
                continue
            crew = board.crew(number, day)
            room = board.room(number, day)
            found.append(
                Load(
                    yard.key, date, bays[yard.key, date], room.bays * room.opening,
                    hands[yard.key, date], sum(room.until),
                    tuple(asked.people[one].key for one in crew),
                )
            )  # fmt: skip
    return tuple(found)


def _people(board: Board, assignments: tuple[Assignment, ...]) -> tuple[PersonLoad, ...]:
    minutes, asked = _spent(board, assignments)[2], board.asked
    return tuple(
        PersonLoad(
            person.key, date, asked.yards[yard].key, minutes[person.key, date],
            board.there(number, yard, day),
        )
        for day, date in enumerate(asked.days)
        for number, person in enumerate(asked.people)
        if (yard := board.roster[number][day]) >= 0 and board.there(number, yard, day) > 0
    )  # fmt: skip
