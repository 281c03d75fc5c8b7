"""What else there is so many of on the one vehicle that has it all."""

from collections.abc import Callable
from typing import Any

from fleet.records.models import FileAnswer, FileRequest, Joint, JointFitting, Vehicle
from tests.build import NOW


def files_and_fittings(
    vehicle: Vehicle, joint: Joint, size: int, fact: Callable[[int], dict[str, Any]]
) -> None:
    """Files asked for and half of them answered, the newest open; a joint apart again and again."""
    asked = FileRequest.objects.bulk_create(
        FileRequest(vehicle=vehicle, why="audit", wanted_by=NOW.date(), **fact(number))
        for number in reversed(range(2 * size))
    )
    FileAnswer.objects.bulk_create(
        FileAnswer(request=row, kind="answered", text="printed", **fact(number))
        for number, row in enumerate(asked[:size])
    )
    states = ("apart", "fitted")
    JointFitting.objects.bulk_create(
        JointFitting(joint=joint, fitted=states[number % 2], reason="bearing", **fact(number))
        for number in range(size)
    )
