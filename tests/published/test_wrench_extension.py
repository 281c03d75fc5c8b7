"""A wrench with an extension, against the worked examples of published technical manuals."""

import pytest

from fleet.calc.wrench_extension import torque_at_fastener, torque_to_set

# Wanted at the fastener, lever, extension, what the wrench is set to; as printed (inches, and the
# manual's unit of torque). READ as quoted on public copies of the pages.
SETTINGS = [
    # US Army TM 1-1500-204-23-9, p. 8-15 ff.: 300 lbf·in, L 10 in, A 4 in, "214 inch-pounds".
    (300, 10, 4, 214),
    # US Army TM 9-2350-261-20-1, p. 2-29: 40 lbf·ft, 12 in, 4 in, "dial setting = 30".
    (40, 12, 4, 30),
    # US Navy aviation training manual 14315, fig. 3-45: 100 lbf·in, La 12 in, Ea 6 in, "66.7".
    (100, 12, 6, 66.7),
]


@pytest.mark.parametrize(("wanted", "lever", "extension", "printed"), SETTINGS)
def test_what_the_wrench_is_set_to(
    wanted: float, lever: float, extension: float, printed: float
) -> None:
    places = 1 if printed % 1 else 0
    assert round(torque_to_set(wanted, lever, extension), places) == printed


def test_what_comes_to_the_fastener() -> None:
    """US Army TM 9-254, fig. 45: wrench of 12 in set to 60 lbf·in, extension of 2 in, 70."""
    assert torque_at_fastener(60, 12, 2) == 70
