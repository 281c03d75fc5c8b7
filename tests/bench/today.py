"""How the bench's fleet stands on the day it is measured: what is owed, held, waiting, odd."""

from datetime import timedelta

from tests.bench.life import DAY, LOOK_DAYS, Life, Spot


def stand(life: Life) -> None:
    """The open end of a vehicle's life. Which vehicle stands how follows from its number."""
    _standing_rechecks(life)
    _joint_rechecks(life)
    if life.number % 20 == 0:
        _held(life)
        _apart_once(life)
        life.to.asked.add(life.now - DAY, life.worker(), life.vehicle, (life.now + 5 * DAY).date())
    elif life.number % 40 == 11:
        _ticket(life, ["complete", "complete"], "open")
    elif life.number % 40 == 13:
        _ticket(life, ["complete"], "tested")
    if life.number % 25 == 3:
        _pattern(life)


def _standing_rechecks(life: Life) -> None:
    """The routine and the yearly look of the whole front end."""
    life.recheck(None, "routine", life.last_look, LOOK_DAYS)
    life.recheck(None, "annual", life.now - (life.number * 7 % 350) * DAY, 365)


def _joint_rechecks(life: Life) -> None:
    """Four joints owe a look: most of them soon, one vehicle in eight is late."""
    late = life.number % 8 == 2
    for nth, spot in enumerate(life.spots[3:40:10]):
        days = 7 + nth * 20
        began = life.now - (days + 2 if late and nth == 0 else life.number % 7) * DAY
        state = "missed" if late and nth == 0 else "owed"
        life.recheck(spot, "track_bar", began, days, state=state)


def _held(life: Life) -> None:
    """Held since a day or so for play, with a ticket open; some were driven nevertheless."""
    at = life.now - timedelta(hours=3 + life.number % 40)
    spot = next(spot for spot in life.spots if spot.place.holds)
    ticket = _ticket(life, ["open"], "open")
    why = f"Play: {spot.place.name}"
    row = life.to.hold.add(
        life.vehicle, "finding", why, spot.pk, ticket, at, life.worker(), None, None, None
    )
    life.trail(at, "place_hold", "hold", row)
    if life.number % 60 == 0:
        life.to.hold.add(
            life.vehicle, "used_while_held", "12 miles on the meter while held", None, ticket,
            at + timedelta(hours=2), life.worker(), None, None, None,
        )  # fmt: skip


def _apart_once(life: Life) -> None:
    """A joint that was apart for two days a month ago."""
    spot = next(spot for spot in life.spots if not spot.place.holds)
    for days, fitted in ((30, "apart"), (28, "fitted")):
        at = life.now - days * DAY
        life.to.fitting.add(at, life.worker(), spot.pk, fitted, life.use_at(at))


def _ticket(life: Life, lines: list[str], state: str) -> int:
    at = life.now - timedelta(hours=50)
    ticket = life.to.ticket.add(
        life.vehicle, state, "Found loose", at, life.worker(), None, None, "", 3
    )
    spots: list[Spot] = [spot for spot in life.spots if spot.place.wrench]
    for position, line_state in enumerate(lines, start=1):
        spot = spots[position]
        if line_state == "open":
            life.to.line.add(ticket, spot.pk, "retorque", "open", position, None)
        else:
            life.line(ticket, position, spot, at, line_state)
    if state == "tested":
        by, hour = life.worker(1), timedelta(hours=1)
        life.to.check.add(at + hour, by, ticket, life.vehicle)
        release = life.to.release.add(at + 2 * hour, by, ticket, at + 6 * hour)
        life.to.test.add(at + 3 * hour, by, ticket, release)
    return ticket


def _pattern(life: Life) -> None:
    """A joint that moved again after it had been tightened."""
    spot = next(spot for spot in life.spots if spot.place.code == "gear_to_frame")
    found = []
    for days in (90, 60, 30):
        at = life.now - days * DAY
        use, by = life.use_at(at), life.worker()
        sheet = life.to.inspection.add(at, by, life.vehicle, "retorque", use)
        finding = life.to.finding.add(
            at, by, sheet, spot.pk, "moved", "wrench", True, 20.0, "line", "", "retorque", use
        )
        life.pull(at, spot, finding=finding, turned=True)
        found.append(finding)
    last = life.now - 30 * DAY
    life.to.pattern.add(
        f"joint:{spot.pk}", life.yard, life.vehicle, spot.pk, {"findings": found, "torques": []},
        {"count": len(found), "window_days": 365}, last, last,
    )  # fmt: skip
