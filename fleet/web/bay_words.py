"""Every word that the scripts of the tablet page say, by its key.

A text that counts has two keys, `….one` and `….many`. Places are written %(name)s.
"""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from fleet.web.bay_words_people import PEOPLE_WORDS
from fleet.web.bay_words_photos import PHOTO_WORDS
from fleet.web.bay_words_talk import TALK_WORDS
from fleet.web.bay_words_work import WORK_WORDS

PAGE_WORDS: dict[str, Promise] = {
    "bay": pgettext_lazy("the tablet page of the shop", "Bay"),
    "months": _("Jan.|Feb.|March|April|May|June|July|Aug.|Sept.|Oct.|Nov.|Dec.|"),
    "date": _("%(month)s %(day)s, %(year)s"),
    "today_at": _("today at %(hour)s"),
    "day_at": _("%(day)s at %(hour)s"),
    "by_at": _("%(name)s, %(when)s"),
    "yes": _("Yes"),
    "no": _("No"),
    "cancel": _("Cancel"),
    "lock": _("Lock"),
    "somebody": _("somebody"),
    "to_start": _("To today's work"),
    "back_to": _("Back to vehicle %(unit)s"),
    "type_it": _("Type it here."),
    "no_room": _(
        "The tablet has no room left, so nothing was kept. What you typed still stands here. "
        "Make room on the tablet (pictures, videos, other apps), then try again."
    ),
    "no_network": _(
        "No answer from the server. This one step needs a network; try again where there is one."
    ),
    "held": _("Held:"),
    "held_must_not": _("Held. It must not go out."),
    "missing.title": _("This part of the page is not on the tablet"),
    "missing.text": _("Take the newer page when it is offered, and open it again."),
    "failed.title": _("This could not be shown"),
    "failed.text": _(
        "Nothing that was recorded is lost. Go back and try again; tell a manager what stands here."
    ),
    # Today's work
    "home.title": _("Work of %(yard)s"),
    "home.empty": _("Nothing is on this tablet yet"),
    "home.none_yet": _("The work of your yard comes with the first network."),
    "home.unfinished": _("Unfinished"),
    "home.kept": _("kept %(when)s"),
    "home.held": _("Held"),
    "home.open": _("Open tickets"),
    "home.due": _("Due within a week"),
    "home.nothing": _("Nothing is held, open or due this week."),
    "home.ticket": _("%(title)s: %(done)s of %(all)s lines done"),
    "home.due_now.one": _("%(count)s check is due now"),
    "home.due_now.many": _("%(count)s checks are due now"),
    "home.due_soon.one": _("%(count)s check by %(day)s"),
    "home.due_soon.many": _("%(count)s checks from %(day)s"),
    "home.all.one": _("The one vehicle of this yard"),
    "home.all.many": _("All %(count)s vehicles of this yard"),
    "home.find": _("Find a vehicle"),
    "home.no_such": _("No vehicle of this yard is called so. Clear the field to see all."),
    "on.title": _("On this tablet"),
    "on.pack": _("Work and vehicles"),
    "on.pack_says.one": _("%(count)s vehicle, as the server had it %(when)s"),
    "on.pack_says.many": _("%(count)s vehicles, as the server had them %(when)s"),
    "on.nothing": _("Nothing yet"),
    "on.waits": _("To be sent"),
    "on.spoke": _("Server"),
    "on.more": _("Every entry, and send now"),
    "on.little_room": _(
        "Only %(left)s MB are left on this tablet. Send what waits and make room before you "
        "take photos."
    ),
    "draft.sheet": _("Inspection sheet"),
    "draft.hold": _("Hold"),
    "draft.meter": _("Meter reading"),
    "draft.open": _("New ticket"),
    "draft.ticket": _("Ticket"),
    "draft.line": _("Ticket line"),
    "draft.check": _("Second check"),
    "draft.close": _("Close-out"),
    # A vehicle
    "vehicle.title": _("Vehicle %(unit)s"),
    "vehicle.none": _("Vehicle %(unit)s is not on this tablet"),
    "vehicle.none_text": _(
        "It may live at another yard, or has come since the server last answered."
    ),
    "vehicle.sheet": _("Start an inspection"),
    "vehicle.meter": _("Meter reading"),
    "vehicle.open": _("Open a ticket"),
    "vehicle.hold": _("Place a hold"),
    "vehicle.drawing": _("Drawing"),
    "vehicle.tickets": _("Tickets"),
    "vehicle.lines": _("%(done)s of %(all)s lines done"),
    "vehicle.due": _("Due"),
    "vehicle.by": pgettext_lazy("a day by which it falls due", "by %(day)s"),
    "vehicle.joints": _("%(count)s joints"),
    "vehicle.last": _("on %(day)s"),
    "vehicle.never": _("never looked at"),
    "vehicle.caution": _(
        "The manufacturer's service information, local codes and licensed practice govern. A "
        "vehicle with violent axle oscillation is not driven. A raised vehicle stands on "
        "stands."
    ),
    "mark.bad": _("Worn out, cracked, bent, broken or missing"),
    "mark.moved": _("Moved"),
    "mark.no_play": _("No play"),
    "mark.play": _("Play"),
    "mark.tight": _("Tight"),
    "mark.unknown": _("Not known"),
    "hold.title": _("Hold vehicle %(unit)s"),
    "hold.says": _("The hold counts at once. Only a passed second check and road test lift it."),
    "hold.text": _("Why must it not go out?"),
    "hold.text_hint": _("What you saw, felt or heard, and where."),
    "hold.text_wanted": _("Say why, so that whoever repairs it knows where to look."),
    "hold.joint": _("Joint"),
    "hold.no_joint": _("None in particular"),
    "hold.send": _("Hold the vehicle"),
    "meter.title": _("Meter of vehicle %(unit)s"),
    "meter.mi": _("Miles"),
    "meter.km": _("Kilometers"),
    "meter.h": _("Hours"),
    "meter.any": _("Reading"),
    "meter.last": _("Last: %(reading)s on %(day)s"),
    "meter.none": _("No reading is on this tablet."),
    "meter.wrong": _("Type the figures as the meter shows them, for example 48210 or 1204.5."),
    "meter.send": _("Keep the reading"),
    "open.title": _("Ticket for vehicle %(unit)s"),
    "open.what": _("What is to be done?"),
    "open.what_hint": _("A few words, for example: track bar loose at the frame."),
    "open.what_wanted": _("Say in a few words what is to be done."),
    "open.complaint": _("Because of a complaint"),
    "open.no_complaint": _("No complaint"),
    "open.send": _("Open the ticket"),
}

WORDS: dict[str, Promise] = {
    **PAGE_WORDS,
    **PEOPLE_WORDS,
    **PHOTO_WORDS,
    **TALK_WORDS,
    **WORK_WORDS,
}
