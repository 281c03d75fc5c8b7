"""File requests: one vehicle's file asked for, and answered or withdrawn."""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.utils.translation import gettext as _

from fleet.calc.calendar import local_date
from fleet.operations.actor import Actor
from fleet.operations.errors import Problem, Refused, refuse
from fleet.operations.once import Request
from fleet.operations.words import too_long
from fleet.operations.work import Done, Work, find, run
from fleet.records.models import FileAnswer, FileRequest, Vehicle

K = FileAnswer.Kind


@dataclass(frozen=True)
class Ask:
    """Whose file, of which days, what for, and by when.

    No days is the whole file; only `until` is the file as it stood on that day.
    """

    vehicle_id: int
    why: str
    wanted_by: date
    since: date | None = None
    until: date | None = None
    # Somebody outside the fleet, whose wish a manager writes down.
    asker: str = ""
    uid: UUID | None = None


def ask_for_file(
    actor: Actor, ask: Ask, *, at: datetime, request: Request | None = None
) -> Done[FileRequest]:
    """Ask for one vehicle's file: a reader for themselves, a manager for somebody outside."""
    actor.need("ask_for_file")

    def apply(work: Work) -> FileRequest:
        vehicle = work.lock(ask.vehicle_id)
        problems = [*_who_asks(work.actor, ask), *_what_for(ask), *_days(work, vehicle, ask)]
        if problems:
            raise Refused(tuple(problems))
        row = FileRequest.objects.create(
            **work.fact(None, ask.uid), vehicle=vehicle, asker=ask.asker.strip(),
            why=ask.why.strip(), since=ask.since, until=ask.until, wanted_by=ask.wanted_by,
        )  # fmt: skip
        after = {"wanted_by": str(row.wanted_by)}
        work.trail("ask_for_file", row, vehicle=vehicle, after=after, reason=row.why)
        return row

    return run("ask_for_file", actor, at, apply, request)


def _who_asks(actor: Actor, ask: Ask) -> list[Problem]:
    """Whoever answers files asks for none of their own: they write down who asks."""
    writes_down, named = actor.person.may("answer_file"), bool(ask.asker.strip())
    if writes_down and not named:
        return [Problem("asker_missing", _("Say who asks for it."), field="asker")]
    if named and not writes_down:
        message = _("You ask in your own name: leave this empty.")
        return [Problem("asker_not_wanted", message, field="asker")]
    return []


def _what_for(ask: Ask) -> list[Problem]:
    found = too_long(FileRequest, {"why": ask.why, "asker": ask.asker})
    if not ask.why.strip():
        found.append(Problem("why_missing", _("Say what it is for."), field="why"))
    return found


def _days(work: Work, vehicle: Vehicle, ask: Ask) -> list[Problem]:
    """All by the date at the vehicle's yard."""
    today, found = local_date(work.at, vehicle.yard.time_zone), []
    if ask.wanted_by < today:
        message = _("This day is past. Give today or a later day.")
        found.append(Problem("wanted_past", message, field="wanted_by"))
    for name, day in (("since", ask.since), ("until", ask.until)):
        if day is not None and day > today:
            message = _("Nothing is on file of a day to come. Give today or an earlier day.")
            found.append(Problem("day_to_come", message, field=name))
    if ask.since and ask.until and ask.until < ask.since:
        message = _("The last day lies before the first.")
        found.append(Problem("days_swapped", message, field="until"))
    return found


def answer_file(
    actor: Actor, request_id: int, text: str, *, at: datetime, request: Request | None = None
) -> Done[FileAnswer]:
    """Say what was handed over. The request is over with it."""
    actor.need("answer_file")
    if not text.strip():
        raise refuse("text_missing", _("Say what was handed over, and how."), field="text")

    def apply(work: Work) -> FileAnswer:
        return _end(work, _open(work, request_id), K.ANSWERED, text)

    return run("answer_file", actor, at, apply, request)


def withdraw_file(
    actor: Actor, request_id: int, reason: str, *, at: datetime, request: Request | None = None
) -> Done[FileAnswer]:
    """The file is wanted no longer: said by whoever asked, or by a manager."""
    actor.need("ask_for_file")
    if not reason.strip():
        raise refuse("reason_missing", _("Say why it is not wanted."), field="reason")

    def apply(work: Work) -> FileAnswer:
        asked = _open(work, request_id)
        if not may_withdraw(work.actor, asked):
            message = _("%(who)s asked for it: only they or a manager withdraw it.")
            raise refuse("not_yours", message % {"who": asked.by.name})
        return _end(work, asked, K.WITHDRAWN, reason)

    return run("withdraw_file", actor, at, apply, request)


def may_withdraw(actor: Actor, asked: FileRequest) -> bool:
    person = actor.person
    return person.may("answer_file") or (person.may("ask_for_file") and asked.by_id == person.pk)


def _open(work: Work, request_id: int) -> FileRequest:
    """The request under its vehicle's lock, or a refusal that says how it ended."""
    asked = find(FileRequest, work.actor, request_id, _("file request"))
    asked.vehicle = work.lock(asked.vehicle_id)
    end = FileAnswer.objects.filter(request=asked).select_related("by").first()
    if end is not None:
        message = _("It was %(how)s by %(who)s before. Nothing was changed.") % {
            "how": end.get_kind_display(),
            "who": end.by,
        }
        raise refuse("request_over", message)
    return asked


def _end(work: Work, asked: FileRequest, kind: str, text: str) -> FileAnswer:
    row = FileAnswer.objects.create(**work.fact(None), request=asked, kind=kind, text=text.strip())
    verb = "answer_file" if kind == K.ANSWERED else "withdraw_file"
    work.trail(verb, row, vehicle=asked.vehicle, after={"request": asked.pk})
    return row
