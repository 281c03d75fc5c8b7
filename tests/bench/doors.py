"""Clients signed in at both doors, and the vehicles that are asked for in turn."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import Count
from django.test import Client
from django.utils import timezone
from rest_framework.authtoken.models import Token

from fleet.records.models import Joint, Person, Vehicle

HOST = "127.0.0.1"
SAMPLES = 20


@dataclass(frozen=True)
class Sample:
    """A vehicle and one of its joints, the one with most torques on record."""

    vehicle: str
    joint: int
    params: Mapping[str, Any]


def samples() -> list[Sample]:
    """Spread over the whole fleet, so that no page is asked for twice running."""
    ids = list(Vehicle.objects.order_by("pk").values_list("pk", flat=True))
    chosen = ids[:: max(len(ids) // SAMPLES, 1)][:SAMPLES]
    return [_sample(pk) for pk in chosen]


def _sample(pk: int) -> Sample:
    joints = Joint.objects.filter(vehicle=pk).select_related("vehicle")
    joint = joints.annotate(torqued=Count("torques")).order_by("-torqued", "pk")[0]
    now = timezone.now()
    params = {
        "vehicle": pk, "joint": joint.pk, "kind": joint.kind_id,
        "design": joint.vehicle.design_id, "stale": now - timedelta(days=45),
        "warn": now.date() + timedelta(days=14),
    }  # fmt: skip
    return Sample(joint.vehicle.unit_number, joint.pk, params)


def at_the_pages(person: Person) -> Client:
    client = Client(SERVER_NAME=HOST)
    client.force_login(person)
    return client


def at_the_api(person: Person) -> Client:
    """By token, as a program signs in."""
    key = Token.objects.get_or_create(user=person)[0].key
    return Client(SERVER_NAME=HOST, headers={"Authorization": f"Token {key}"})


def read(client: Client, address: str) -> Any:
    """A whole answer; anything but 200 ends the bench."""
    answer = client.get(address)
    if answer.status_code != 200:
        raise SystemExit(f"{address} answered {answer.status_code}: {answer.content[:300]!r}")
    return answer
