"""Did it help: finds after an action, held against what the record before leads to expect."""

from enum import StrEnum
from typing import NamedTuple

import numpy as np
from scipy import special

#: Under this many predicted finds it is too early to say.
FEWEST_PREDICTED = 3.0
LEVEL = 0.05


class Verdict(StrEnum):
    TOO_EARLY = "too_early"
    HELPED = "helped"
    DID_NOT_HELP = "did_not_help"
    #: Fewer finds than predicted, but chance does as well now and then.
    NOT_CLEAR = "not_clear"


class Posterior(NamedTuple):
    """What is known of a ratio: gamma with this shape and mean; shape infinite = known exactly."""

    shape: float
    mean: float


class Helped(NamedTuple):
    """The verdict, finds predicted without help, and the chance of so few or fewer then."""

    verdict: Verdict
    predicted: float
    p: float


def posterior(observed: int, mean: float, prior_shape: float) -> Posterior:
    """Return what is known of one unit's ratio, from `shrink_rates`.

    Parameters
    ----------
    observed : int
        Its finds.
    mean, prior_shape : float
        Its entry of `Shrunk.mean`, and `Shrunk.prior_shape`.

    Examples
    --------
    >>> posterior(9, 3.97, 1.01)
    Posterior(shape=10.01, mean=3.97)
    """
    return Posterior(prior_shape + observed, mean)


def did_it_help(
    before: Posterior,
    seen: int,
    expected: float,
    *,
    control: tuple[int, float] | None = None,
) -> Helped:
    """Judge an action by the finds after it.

    Parameters
    ----------
    before : Posterior
        Ratio of finds to expected before the action, shrunk.
    seen : int
        Finds since.
    expected : float
        Finds expected since then from the checks made, at the usual rate (`expected_events`).
    control : tuple of (int, float), optional
        Finds and expected finds of like joints in the same months that nothing was done to:
        a dry summer helps them as well.

    Returns
    -------
    Helped
        ``(verdict, predicted, p)``: too early while fewer than 3 are predicted; helped where the
        chance of so few is at most 0.05; did not help where no fewer than predicted were seen;
        else not clear.

    Raises
    ------
    ValueError
        For values that make no sense.

    Notes
    -----
    Without help the count is negative binomial with mean ``before.mean * expected`` and the shape
    of `before` (Poisson where that is infinite). The control's ratio is gamma with shape
    1 + finds and mean (1 + finds) / (1 + expected), and multiplies in with its own uncertainty.
    The ratio before is shrunk because units that were acted on stood out partly by chance, and
    would have come back by themselves. Three predicted and none seen are just enough where the
    ratio before is known exactly; where it is not, it takes more.

    Examples
    --------
    >>> did_it_help(Posterior(shape=10.0, mean=3.0), seen=0, expected=2.0).verdict
    <Verdict.HELPED: 'helped'>
    >>> did_it_help(Posterior(shape=10.0, mean=3.0), seen=1, expected=0.9).verdict
    <Verdict.TOO_EARLY: 'too_early'>
    """
    if not (before.shape > 0 and 0 < before.mean < np.inf and 0 <= expected < np.inf and seen >= 0):
        raise ValueError("before, seen and expected must make sense: above zero and finite")
    shape, predicted = before.shape, before.mean * expected
    if control is not None:
        shape, times = _with_control(shape, *control)
        predicted *= times
    p = _at_most(seen, predicted, shape)
    if predicted < FEWEST_PREDICTED:
        return Helped(Verdict.TOO_EARLY, predicted, p)
    if p <= LEVEL:
        return Helped(Verdict.HELPED, predicted, p)
    return Helped(Verdict.DID_NOT_HELP if seen >= predicted else Verdict.NOT_CLEAR, predicted, p)


def _with_control(shape: float, finds: int, expected: float) -> tuple[float, float]:
    if finds < 0 or not 0 <= expected < np.inf:
        raise ValueError("control must not be below zero")
    # A product of two gammas has (1 + 1/a)(1 + 1/b) - 1 for its squared variation.
    squared = (1 + 1 / shape) * (1 + 1 / (1 + finds)) - 1
    return 1 / squared, (1 + finds) / (1 + expected)


def _at_most(seen: int, predicted: float, shape: float) -> float:
    if np.isinf(shape):
        return float(special.pdtr(seen, predicted))
    return float(special.betainc(shape, seen + 1, shape / (shape + predicted)))
