"""The words of the tablet's talk with the server: what waits, what came back, how it stands."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

TALK_WORDS: dict[str, Promise] = {
    # The head
    "state.label": _("What waits, and the server"),
    "state.waiting.one": _("%(count)s entry waits to be sent."),
    "state.waiting.many": _("%(count)s entries wait to be sent."),
    "state.nothing_waits": _("Nothing waits to be sent."),
    "state.spoke": _("The server last answered %(when)s."),
    "state.never": _("The server has not answered yet."),
    "state.talking": _("Talking with the server."),
    "state.no_answer": _("No network."),
    "state.server": _("The server has trouble; it is tried again."),
    "state.revoked": _(
        "This tablet was revoked. What was recorded here is still sent, and a manager looks "
        "at it. Give the tablet to a manager."
    ),
    "state.unknown": _(
        "The server does not know this tablet any more. What was recorded here stays on it. "
        "Give the tablet to a manager."
    ),
    "state.returned.one": _("%(count)s entry came back."),
    "state.returned.many": _("%(count)s entries came back."),
    "newer.ready": _("A newer page is ready."),
    "newer.take": _("Take it"),
    # Operations
    "verb.on": _("%(verb)s, vehicle %(unit)s"),
    "verb.record_inspection": _("Inspection"),
    "verb.place_hold": _("Hold"),
    "verb.record_meter": _("Meter reading"),
    "verb.open_ticket": _("Ticket opened"),
    "verb.add_line": _("Line added"),
    "verb.drop_line": _("Line dropped"),
    "verb.record_line": _("Line recorded"),
    "verb.second_check": _("Second check"),
    "verb.release": _("Released for the road test"),
    "verb.road_test": _("Road test"),
    "verb.close_ticket": _("Ticket closed"),
    "verb.set_aside": _("Left with a reason"),
    "status.waiting": _("Waits to be sent"),
    "status.sent": _("Being sent"),
    "status.accepted": _("The server has it"),
    "status.refused": _("Came back"),
    "status.parked": _("Waits for an entry before it that came back"),
    "status.quarantined": _("With a manager, because this tablet was revoked"),
    "status.title": _("What is on this tablet"),
    "status.send": _("Talk with the server now"),
    "status.tablet": _("Tablet"),
    "status.clock": _("Clock"),
    "status.clock_unknown": _("Not compared with the server's yet"),
    "status.clock_right": _("Agrees with the server's"),
    "status.clock_behind": _("%(seconds)s s behind the server's; times are corrected"),
    "status.clock_ahead": _("%(seconds)s s ahead of the server's; times are corrected"),
    "status.room": _("Room"),
    "status.room_says": _("%(used)s MB used, %(left)s MB left"),
    "status.stays": _("When room runs short"),
    "status.stays_yes": _("The browser has promised not to throw this away"),
    "status.stays_no": _("The browser may throw this away; install the page, and send often"),
    "status.build": _("Page"),
    "status.list": _("Entries made on this tablet"),
    "status.seven_days": _("What the server has stays listed for 7 days."),
    "status.none": _("No entry was made on this tablet yet."),
    "status.more": _("Show %(count)s more"),
    "returned.title": _("What came back"),
    "returned.none": _("Nothing has come back."),
    "returned.never_lost": _("It stays here until you correct it or leave it with a reason."),
    "returned.others.one": _("%(count)s that came back to somebody else"),
    "returned.others.many": _("%(count)s that came back to others"),
    "returned.not_yours": _("Only %(name)s can correct or leave this, with their own PIN."),
    "returned.settled": _("This is settled"),
    "returned.holds_back.one": _("%(count)s later entry waits for this one."),
    "returned.holds_back.many": _("%(count)s later entries wait for this one."),
    "returned.theirs": _("%(name)s, %(when)s"),
    "returned.mine": _("You"),
    "returned.correct": _("Correct it"),
    "returned.stand_in": _("Mine stands in its place"),
    "returned.leave": _("Leave it"),
    "returned.leave_send": _("Leave it, with this reason"),
    "returned.reason": _("Why is it left?"),
    "returned.reason_hint": _("The entry and the reason stay on record."),
    "returned.reason_wanted": _("Say why, so that it can be understood later."),
    # A person's own
    "settings.title": _("Your settings on this tablet"),
    "settings.who": _("%(name)s at %(tablet)s"),
    "settings.language": _("Language"),
    "settings.no_words": _(
        "The words in %(language)s are not on this tablet yet, and there is no network to bring "
        "them. Nothing was changed. Switch where there is a network; then they stay here."
    ),
    "settings.leave": _("Leave the tablet"),
    "settings.lock_text": _("It also locks by itself after ten minutes without a touch."),
    "settings.switch": _("Switch person"),
    "settings.off": _("Take yourself off this tablet"),
    "settings.off_text": _(
        "Your PIN and your keys go from this tablet. What you recorded here stays and is "
        "sent. To come back, sign in with name and password."
    ),
    "settings.off_waits": _("Somebody else has to open the tablet, so that it is sent."),
    "settings.off_send": _("Take me off"),
    "settings.type_name": _("Your sign-in name"),
    "settings.type_name_hint": _("To be sure, type: %(name)s"),
}
