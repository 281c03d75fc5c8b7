"""The verbs of tablets and of what comes from them, for the table in verbs.py."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import UUID

from fleet.operations import (
    digests,
    feeds,
    inspect,
    photos,
    read_over,
    refused_sheet,
    tablet_returns,
    tablets,
    tool_uses,
    webhooks,
)
from fleet.operations.actor import Actor
from fleet.operations.looks import Look
from tests.camera import jpeg

Call = Callable[..., Any]


def _sheet(s: Any) -> inspect.Sheet:
    look = Look(s.house.joint().pk, "no_play", "feel")
    return inspect.Sheet(s.house.vehicle.pk, "routine", (look,))


def _told(s: Any) -> webhooks.WebhookFacts:
    return webhooks.WebhookFacts(
        "Dispatch", "https://dispatch.example/in", ("vehicle.held",), s.house.yard.pk
    )


DAY = timedelta(days=1)
UID = UUID("0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11")


FAR: dict[str, tuple[str, Call]] = {
    "record_tool_use": ("edit_tools", lambda s, a, **k: tool_uses.record_tool_use(
        a, tool_uses.NewUse(s.second.pk, 40, s.house.now.date()), **s.at, **k)),
    "correct_tool_use": ("edit_tools", lambda s, a, **k: tool_uses.correct_tool_use(
        a, s.used.pk, 4, "one nought too many", **s.at, **k)),
    "make_code": ("edit_tablets", lambda s, a, **k: tablets.make_code(
        a, "Bay 2", s.house.yard.pk, **s.at, **k)),
    "hand_key": ("inspect", lambda s, a, **k: tablets.hand_key(
        Actor(a.person, "tablet", s.tablet), **s.at, **k)),
    "revoke_tablet": ("edit_tablets", lambda s, a, **k: tablets.revoke_tablet(
        a, s.tablet.pk, "left on a bumper", **s.at, **k)),
    "hold_what_warrants": ("place_hold", lambda s, a, **k: refused_sheet.hold_what_warrants(
        a, _sheet(s), **s.at, **k)),
    "set_aside": ("inspect", lambda s, a, **k: tablet_returns.set_aside(
        a, s.sent.uid, "typed twice", **s.at, **k)),
    "add_photo": ("inspect", lambda s, a, **k: photos.add_photo(
        a, photos.NewPhoto(UID, jpeg(), s.house.vehicle.unit_number, str(s.ticket.pk)),
        **s.at, **k)),
    "leave_quarantined": ("edit_tablets", lambda s, a, **k: tablet_returns.leave_quarantined(
        a, s.sent.pk, "nobody knows of it", **s.at, **k)),
    "take_read_over": ("lift_hold", lambda s, a, **k: read_over.take_read_over(
        a, read_over.Heard(s.house.vehicle.pk, s.house.technician.person.pk,
                           s.house.colleague.person.pk, "8143079743"), **s.at, **k)),
    "take_in": ("edit_tablets", lambda s, a, **k: tablet_returns.take_in(
        a, s.sent.pk, **s.at, **k)),
    "add_webhook": ("send_events_out", lambda s, a, **k: webhooks.add_webhook(
        a, _told(s), **s.at, **k)),
    "change_webhook": ("send_events_out", lambda s, a, **k: webhooks.change_webhook(
        a, s.webhook.pk, _told(s), **s.at, **k)),
    "renew_secret": ("send_events_out", lambda s, a, **k: webhooks.renew_secret(
        a, s.webhook.pk, **s.at, **k)),
    "send_test": ("send_events_out", lambda s, a, **k: webhooks.send_test(
        a, s.webhook.pk, **s.at, **k)),
    "send_again": ("send_events_out", lambda s, a, **k: webhooks.send_again(
        a, s.delivery.pk, **s.at, **k)),
    "send_all_again": ("send_events_out", lambda s, a, **k: webhooks.send_all_again(
        a, s.webhook.pk, **s.at, **k)),
    "replay": ("send_events_out", lambda s, a, **k: webhooks.replay(
        a, s.webhook.pk, s.house.now - DAY, s.house.now + DAY, **s.at, **k)),
    "choose_digest": ("view_due", lambda s, a, **k: digests.choose_digest(
        a, digests.Wish(True, "me@ranch.example", (s.house.yard.pk,), (0, 1), 6, "UTC"),
        **s.at, **k)),
    "make_feed": ("view_due", lambda s, a, **k: feeds.make_feed(
        a, feeds.NewFeed("yard", yard_id=s.house.yard.pk), **s.at, **k)),
    "renew_feed": ("view_due", lambda s, a, **k: feeds.renew_feed(a, s.feed.pk, **s.at, **k)),
    "revoke_feed": ("view_due", lambda s, a, **k: feeds.revoke_feed(a, s.feed.pk, **s.at, **k)),
}  # fmt: skip
