"""A share found in a count, and between what bounds it may lie."""

from dataclasses import dataclass

from scipy.special import betaincinv


@dataclass(frozen=True, slots=True)
class Share:
    """A share with its two-sided bounds, each between 0 and 1."""

    value: float
    low: float
    high: float


def share_of(found: int, looked: int, confidence: float = 0.95) -> Share:
    """The share of `found` among `looked`, with the exact (Clopper-Pearson) interval.

    Parameters
    ----------
    found, looked : int
        ``0 <= found <= looked`` and ``looked >= 1``.
    confidence : float
        Two-sided, above 0 and below 1.

    Raises
    ------
    ValueError
        For counts that can't be, or a confidence outside its range.

    Notes
    -----
    C. J. Clopper, E. S. Pearson, "The use of confidence or fiducial limits illustrated in the case
    of the binomial", Biometrika 26 (1934) 404-413: by quantiles of the beta distribution.

    >>> found = share_of(4, 20)
    >>> found.value, round(found.low, 4), round(found.high, 4)
    (0.2, 0.0573, 0.4366)
    """
    if not 0 <= found <= looked or looked < 1:
        message = f"found must lie between 0 and looked, and looked be 1 or more: {found}, {looked}"
        raise ValueError(message)
    if not 0 < confidence < 1:
        raise ValueError(f"confidence must lie between 0 and 1: {confidence}")
    tail = (1 - confidence) / 2
    low = betaincinv(found, looked - found + 1, tail) if found else 0.0
    high = betaincinv(found + 1, looked - found, 1 - tail) if found < looked else 1.0
    return Share(found / looked, float(low), float(high))
