"""Dates at a yard and the share of an interval used. Nothing else turns moments into dates."""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo


def local_date(moment: datetime, zone: str | ZoneInfo) -> date:
    """Return the date on the wall calendar of `zone` at `moment`.

    Raises
    ------
    ValueError
        If `moment` has no time zone.

    Examples
    --------
    >>> local_date(datetime(2026, 11, 25, 6, 30, tzinfo=UTC), "America/Denver")
    datetime.date(2026, 11, 24)
    """
    if moment.tzinfo is None:
        raise ValueError("moment must have a time zone")
    return moment.astimezone(_zone(zone)).date()


def start_of_local_day(day: date, zone: str | ZoneInfo) -> datetime:
    """Return the first moment of a day at `zone`, in UTC.

    Notes
    -----
    Where clocks skip midnight itself, the day starts when they have been put forward; where they
    show midnight twice, at the first.

    Examples
    --------
    >>> start_of_local_day(date(2026, 3, 8), "America/Denver").isoformat()
    '2026-03-08T07:00:00+00:00'
    """
    return datetime.combine(day, time.min, tzinfo=_zone(zone)).astimezone(UTC)


def _zone(zone: str | ZoneInfo) -> ZoneInfo:
    return ZoneInfo(zone) if isinstance(zone, str) else zone


def share_used(
    start_on: date | None,
    due_on: date | None,
    today: date | None,
    start_use: float | None = None,
    due_use: float | None = None,
    use_now: float | None = None,
) -> float:
    """Return how much of an interval is used: by date or by use, whichever is more.

    Parameters
    ----------
    start_on, due_on, today : date or None
        When it began, when it is due, and the date at the yard.
    start_use, due_use, use_now : float or None
        The same in use, metres or seconds alike.

    Returns
    -------
    float
        0 at the start, 1 when due, 2 at twice the interval. A share with a part missing is left
        out; 0 when both are. An interval of no length is used up from its start on.

    Examples
    --------
    >>> share_used(date(2026, 1, 1), date(2026, 1, 31), date(2026, 1, 16), 0, 800_000, 200_000)
    0.5
    """
    shares = [0.0]
    if start_on is not None and due_on is not None and today is not None:
        shares.append(_share((today - start_on).days, (due_on - start_on).days))
    if start_use is not None and due_use is not None and use_now is not None:
        shares.append(_share(use_now - start_use, due_use - start_use))
    return max(shares)


def _share(passed: float, length: float) -> float:
    if length <= 0:
        return 1.0 if passed >= 0 else 0.0
    return passed / length


def is_due(
    start_on: date | None,
    due_on: date | None,
    today: date | None,
    start_use: float | None = None,
    due_use: float | None = None,
    use_now: float | None = None,
) -> bool:
    """Return whether an interval is used up, by date or by use; arguments as `share_used`.

    >>> is_due(date(2026, 1, 1), date(2026, 1, 31), date(2026, 1, 31))
    True
    """
    return share_used(start_on, due_on, today, start_use, due_use, use_now) >= 1
