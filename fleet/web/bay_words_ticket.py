"""The words of the tablet's tickets: lines, second check, road test, close."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

TICKET_WORDS: dict[str, Promise] = {
    "ticket.title": _("Ticket #%(number)s, %(unit)s"),
    "ticket.title_here": _("New ticket, %(unit)s"),
    "ticket.gone": _("This ticket is not on the tablet"),
    "ticket.gone_text": _("It was closed, or it belongs to a vehicle of another yard."),
    "ticket.steps": _("Steps"),
    "ticket.lines": _("Lines"),
    "ticket.no_lines": _("No work is on it yet. Add what was done."),
    "ticket.also": _("Also in the way"),
    "step.work": _("Work"),
    "step.check": _("Second check"),
    "step.release": _("Released for the road test only"),
    "step.test": _("Road test"),
    "step.close": _("Close"),
    "step.now": _("now"),
    "step.done": _("done"),
    "step.do_check": _("Make the second check"),
    "step.do_release": _("Release it for the road test"),
    "step.do_test": _("Record the road test"),
    "step.do_close": _("Close the ticket"),
    "add.title": _("Add work"),
    "add.joint": _("Joint"),
    "add.whole": _("The whole front end"),
    "add.action": _("Work"),
    "add.send": _("Add the line"),
    # A line
    "line.name": _("%(work)s: %(joint)s"),
    "line.open": _("open"),
    "line.complete": _("complete"),
    "line.closed": _("closed"),
    "line.record": _("Record it"),
    "line.again": _("Record it again"),
    "line.nothing": _("Nothing is recorded yet."),
    "line.by": _("Recorded by %(who)s, %(when)s."),
    "line.by_for": _("Recorded by %(who)s, %(when)s; done by %(done_by)s."),
    "line.here": _("Not sent yet."),
    "line.back": _("Back to the ticket"),
    "line.parts": _(
        "What is missing leaves the line open: it can be recorded in parts. What can't be read is "
        "refused, and nothing typed is lost."
    ),
    "line.done_by": _("Done by, if not by you"),
    "line.keep": _("Keep the figures"),
    "line.empty": _("Nothing is typed yet. Give what you have: the rest can follow."),
    "line.meanwhile": _(
        "%(who)s recorded this line %(when)s. Keep yours only if it stands in place of theirs."
    ),
    "line.lacks.one": _("Still missing before the line is complete"),
    "line.lacks.many": _("Still missing before the line is complete: %(count)s"),
    "line.whole": _("Nothing is missing. The server judges it when it hears of it."),
    "line.unread.one": _("One figure can't be read. It stands beside its field."),
    "line.unread.many": _("%(count)s figures can't be read. Each stands beside its field."),
    "line.drop": _("Drop the line"),
    "line.why_drop": _("Why is it dropped?"),
    "line.why_drop_wanted": _("Say why the line is dropped."),
    "line.drop_send": _("Drop it"),
    "drop.not_needed": _("not needed after all"),
    "drop.other_work": _("other work was done"),
    "drop.by_mistake": _("added by mistake"),
    "field.optional": _("if any"),
    "field.not_said": _("not said"),
    # Toe
    "toe.spec": _("Toe spec %(spec)s, %(source)s."),
    "toe.no_spec": _("No toe figure is on file: type the specification's two sides."),
    "toe.found": _("Toe as found: %(toe)s."),
    "toe.left": _("Toe as left: %(toe)s."),
    "toe.in": _("%(size)s toe-in"),
    "toe.out": _("%(size)s toe-out"),
    "toe.none": _("none"),
    "toe.against": _("Against %(low)s to %(high)s."),
    # What is lacking
    "lack.missing": _("%(label)s is missing."),
    "lack.must": _("%(label)s has to be confirmed."),
    "lack.line": _("%(line)s asks for a line “%(names)s”."),
    "lack.still_apart": _("%(joint)s lies apart: put it together, and set it fitted at a desk."),
    "lack.held_joint": _("%(joint)s holds the vehicle: no line since then answers it."),
    "lack.not_enough": _("This work alone can't close “%(complaint)s”: look for the cause."),
    "lack.cause_missing": _(
        "It moved for the second time running: look for the cause first (hole, shank, sleeve, "
        "class, faces, tool), then record that it was looked for."
    ),
    "lack.server_open": _("The server finds something missing here: record it again."),
    "lack.no_lines": _("The ticket has no line: add what was done."),
    # Second check
    "check.title": _("Second check, %(unit)s"),
    "check.who": _(
        "By somebody who did no line of this ticket, with their own PIN. Having found the fault or "
        "held the wheel does not bar."
    ),
    "check.work": _("The work"),
    "check.not_ready": _("The work is not ready for it"),
    "check.by": _("Who checks"),
    "check.by_hint": _("Somebody who is not in this list signs in first."),
    "check.another": _("Sign in another person"),
    "check.did_work": _("%(name)s (did a line)"),
    "check.how": _("How it was checked"),
    "how.in_person": _("in person"),
    "how.witness": _("a trained person as witness"),
    "how.distance": _("a trained person at a distance, by live video or photos"),
    "how.self": _("self re-check after a pause, allowed beforehand"),
    "check.dry_steer": _("Dry steer made on the floor, brake set, wheels chocked, hands clear"),
    "check.result": _("Result"),
    "check.passed": _("Passed"),
    "check.failed": _("Did not pass"),
    "check.note": _("What was looked at, or what did not pass"),
    "check.send": _("Sign the second check"),
    "sign.cancelled": _("Not signed. Everything typed still stands here."),
    # Release, road test, close
    "close.title": _("Steps of vehicle %(unit)s"),
    "close.release": _("Release %(unit)s for a road test"),
    "close.test": _("Road test of %(unit)s"),
    "close.close": _("Close the ticket of %(unit)s"),
    "close.done": _("This ticket is over."),
    "close.work_first": _("The work comes first"),
    "close.check_first": _("The second check comes first"),
    "close.release_says": _(
        "Out for one road test only: this driver, this place, this long. The hold stays."
    ),
    "close.driver": _("Driver"),
    "close.driver_wanted": _("Name the driver."),
    "close.place": _("Where it is driven"),
    "close.place_hint": _("Best on the yard's own ground first."),
    "close.place_wanted": _("Say where it is driven."),
    "close.hours": _("For how many hours"),
    "close.hours_hint": _("At most %(hours)s; left empty it lasts as long."),
    "close.hours_wrong": _("Between a few minutes and %(hours)s hours."),
    "close.release_send": _("Sign the release"),
    "close.test_caution": _(
        "Speed goes up in steps; stop at the first sign. Oscillation is never provoked."
    ),
    "close.top_speed": _("Highest speed"),
    "close.speed_hint": _("Like 45 mph or 70 km/h."),
    "close.note": _("What was felt, and at what speed"),
    "close.test_send": _("Sign the road test"),
    "close.outcome": _("What it was"),
    "close.outcome_hint": _(
        "The cause, in a sentence; or what was looked at when nothing was found."
    ),
    "close.claim": _(
        "With no network this close is a claim: the vehicle is held until the server has accepted "
        "the second check and the close."
    ),
    "close.close_send": _("Sign the close"),
    "claim.closed": _(
        "Closed on this tablet. It stays held until the server has accepted the second check and "
        "the close."
    ),
    "claim.checked": _(
        "Checked on this tablet. It stays held until the server has accepted it and the ticket is "
        "closed."
    ),
    "claim.waits": _("It is sent as soon as there is a network."),
    # Read-over release
    "read_over.link": _("No network here? Read it over"),
    "read_over.title": _("Read-over release of %(unit)s"),
    "read_over.says": _(
        "For a yard without network. Two PINs make a code; a manager who is online enters it and "
        "reads a reply back. Until the reply stands here the vehicle is held; from then it may go "
        "out for %(hours)s hours."
    ),
    "read_over.unknown": _("The server does not know this ticket yet: it can't be read over."),
    "read_over.two_here": _(
        "Who did the work and who made the second check both have to be signed in on this tablet."
    ),
    "read_over.worker": _("Who did the work"),
    "read_over.checker": _("%(name)s made the second check and gives the second PIN."),
    "read_over.checker_is": _("Who made the second check"),
    "read_over.vehicle": _("Vehicle"),
    "read_over.ticket": _("Ticket"),
    "read_over.make": _("Give both PINs and make the code"),
    "read_over.again": _("Make a new code"),
    "read_over.read_this": _("Read these ten digits over, with what stands below them."),
    "read_over.reply": _("The reply"),
    "read_over.reply_hint": _("Six digits, as they are read to you."),
    "read_over.take": _("Check the reply"),
    "read_over.misheard": _("A digit was misheard: have the six digits read again."),
    "read_over.not_true": _("This reply is not of this code: read the ten digits over again."),
    "read_over.out": _("Out by a read-over release until %(until)s"),
    "read_over.lapses": _(
        "Without the record it is held again then. It is sent as soon as there is a network."
    ),
}
