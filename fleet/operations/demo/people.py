"""The demo's yards and people. One password, printed where the demo starts: for the demo only."""

from datetime import date, timedelta
from typing import Any

from django.contrib.auth.hashers import make_password

from fleet.operations.demo import inputs
from fleet.operations.work import Work
from fleet.records.models import Person, Posting, Training, Yard

ZONE = "America/Denver"


def password() -> str:
    """Everybody's; it is printed to whoever starts the demo."""
    return str(inputs.read("sign_in")["password"])


def make_yards() -> dict[str, Yard]:
    rows = [Yard(time_zone=ZONE, **row) for row in inputs.read("yards")]
    return {yard.name: yard for yard in Yard.objects.bulk_create(rows)}


def make_people(work: Work, yards: dict[str, Yard], today: date) -> dict[str, Person]:
    """Everybody, with their postings and the checkers' training on file."""
    hashed = make_password(password())
    rows = Person.objects.bulk_create(
        Person(
            username=row["username"], name=row["name"], role=row["role"], password=hashed,
            all_yards=row["yards"] == "all", trained=row.get("trained", False),
        )
        for row in inputs.read("people")
    )  # fmt: skip
    people = {person.username: person for person in rows}
    for row in inputs.read("people"):
        _post(people[row["username"]], row, yards)
    _train(work, [person for person in rows if person.trained], today)
    return people


def _post(person: Person, row: dict[str, Any], yards: dict[str, Yard]) -> None:
    names = [] if row["yards"] == "all" else row["yards"]
    Posting.objects.bulk_create(Posting(person=person, yard=yards[name]) for name in names)


def _train(work: Work, people: list[Person], today: date) -> None:
    for number, person in enumerate(people, start=1):
        row = Training.objects.create(
            **work.fact(None), person=person, subject="Second check of front-end repairs",
            valid_until=today + timedelta(days=400 + 31 * number), reference=f"AB-TR-{number:03d}",
        )  # fmt: skip
        work.trail("record_training", row)
