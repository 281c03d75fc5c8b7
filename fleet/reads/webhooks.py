"""What is told to other programs, and how it went."""

from django.db.models import Count, Q, QuerySet

from fleet.records.models import Delivery, Person, Webhook


def webhooks(person: Person) -> QuerySet[Webhook]:
    """Those in scope by name, each with how many deliveries wait and were given up."""
    return (
        Webhook.visible_to(person)
        .select_related("yard", "made_by")
        .annotate(
            waiting=Count("deliveries", filter=Q(deliveries__state=Delivery.State.WAITING)),
            dead=Count("deliveries", filter=Q(deliveries__state=Delivery.State.DEAD)),
        )
        .order_by("name", "pk")
    )


def deliveries(person: Person) -> QuerySet[Delivery]:
    """Deliveries in scope, the newest event first."""
    rows = Delivery.visible_to(person).select_related("webhook", "event")
    return rows.order_by("-event__at", "-pk")
