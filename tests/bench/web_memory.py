"""The memory of one web process: gunicorn started for real, every page asked for, then weighed."""

import http.client
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.test import Client
from django.utils import timezone

from fleet.records.models import Person, Vehicle
from tests import build, camera, far, held
from tests.addresses import addresses
from tests.bench.doors import at_the_pages
from tests.bench.measure import memory_mb
from tests.support.servers import free_port

START_SECONDS = 30
LIMIT_MB = 200
# Held, with a ticket under way.
FULLEST = "B-00000"


def weigh(person: Person) -> str:
    """Ask for every page and every document three times, as signed in, and say what it took."""
    cookie, port = _cookie(at_the_pages(person)), free_port()
    paths = addresses(_fullest(person), whole=False)
    with _gunicorn(port) as worker:
        start = memory_mb("VmRSS", worker)
        answers = [_ask(port, cookie, path) for _ in range(3) for path in paths.values()]
        wrong = sorted({f"{path}: {status}" for path, status in answers if status >= 400})
        now, peak = memory_mb("VmRSS", worker), memory_mb("VmHWM", worker)
    met = "" if peak < LIMIT_MB else "  not met"
    told = f"web process: {start:.0f} MB at its start, {now:.0f} MB after {len(answers)} answers, "
    return f"{told}peak {peak:.0f} MB; goal < {LIMIT_MB}{met}" + "".join(f"\n  {w}" for w in wrong)


def _fullest(person: Person) -> Vehicle:
    """The vehicle that has a row for every page, with what the bench's fleet seldom has."""
    vehicle = Vehicle.objects.select_related("yard").get(unit_number=FULLEST)
    ticket, now = vehicle.tickets.latest("pk"), timezone.now()
    other = Person.objects.exclude(pk=person.pk)[0]
    build.yard_move(vehicle, person, now)
    held.proposal()
    build.leave(ticket, other, person, now)
    build.recheck(vehicle, kind="dry_steer", ladder="oscillation_closed", road_test=True)
    far.operation(far.tablet(vehicle.yard), person)
    far.read_over(ticket, person, vehicle.yard)
    camera.photo(vehicle.joints.all()[0], person)
    return vehicle


def _cookie(client: Client) -> str:
    name = settings.SESSION_COOKIE_NAME
    return f"{name}={client.cookies[name].value}"


@contextmanager
def _gunicorn(port: int) -> Iterator[int]:
    """Gives the id of the worker; everything ends with the block."""
    command = [sys.executable, "-m", "gunicorn", "fleet.wsgi:application", "--workers", "1"]
    command += ["--bind", f"127.0.0.1:{port}", "--log-level", "error"]
    environment = os.environ | {"DJANGO_SETTINGS_MODULE": "fleet.settings"}
    process = subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL)
    try:
        _wait(port, process)
        yield _child_of(process.pid)
    finally:
        process.terminate()
        process.wait(timeout=15)


def _wait(port: int, process: "subprocess.Popen[bytes]") -> None:
    deadline = time.monotonic() + START_SECONDS
    while process.poll() is None and time.monotonic() < deadline:
        try:
            _ask(port, "", "/healthz")
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise SystemExit("gunicorn did not start")


def _ask(port: int, cookie: str, path: str) -> tuple[str, int]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", path, headers={"Cookie": cookie})
    answer = connection.getresponse()
    answer.read()
    connection.close()
    return path, answer.status


def _child_of(parent: int) -> int:
    """The worker: the process whose parent is gunicorn's master."""
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text(encoding="utf-8").rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == parent:
            return int(status.parent.name)
    return parent
