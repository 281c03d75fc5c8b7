"""What leaves the demo: a calendar for the scheduler, and a dispatch desk that is switched off."""

from datetime import datetime

from fleet.operations import events
from fleet.operations.actor import Actor, server_actor
from fleet.operations.feeds import NewFeed, make_feed
from fleet.operations.webhooks import WANTED, WebhookFacts, add_webhook
from fleet.records.models import Person, Yard


def make(manager: Actor, at: datetime) -> None:
    """Nobody is told the address or the secret: a new one is made where one is wanted. What the
    years before would have told is told to nobody."""
    while events.publish(server_actor("command"), at=at):
        pass
    events.forget_old(at=at + events.KEPT_FOR)
    desk = WebhookFacts(
        "Dispatch desk", "https://dispatch.alder-basin.example/axlekeep",
        tuple(kind.value for kind in WANTED), is_on=False,
    )  # fmt: skip
    add_webhook(manager, desk, at=at)
    lena = Actor(Person.objects.get(username="lena"), "command")
    make_feed(lena, NewFeed("yard", yard_id=Yard.objects.order_by("id")[0].pk), at=at)
