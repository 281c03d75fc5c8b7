"""The order of looking after a complaint: practice's weights, moved by what was found before."""

import math
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)

#: Tickets that the prior is worth (own): with as many finds of one's own both count alike.
STRENGTH = 10.0


@dataclass(frozen=True, slots=True)
class Suspect(Generic[Key]):
    """One suspect in the order of looking.

    Attributes
    ----------
    key : hashable
        As given.
    prior : float
        Its share by practice alone; the shares of all make 1.
    count : float
        Tickets of like complaints that it was found behind.
    share : float
        Prior and counts together; the shares of all make 1.
    """

    key: Key
    prior: float
    count: float
    share: float


def rank_suspects(
    prior: Mapping[Key, float],
    counts: Mapping[Key, float],
    strength: float = STRENGTH,
    *,
    first: Sequence[Key] = (),
) -> tuple[Suspect[Key], ...]:
    """Order the suspects of a complaint.

    Parameters
    ----------
    prior : mapping
        Weight of each suspect by practice, not below zero; only their ratios count.
    counts : mapping
        How often each was found behind like complaints in this fleet. One that the prior does
        not name is taken in, with prior 0.
    strength : float
        How many tickets the prior is worth.
    first : sequence
        Suspects that are looked at before all others whatever was found, in this order: any
        shake begins with wheel nuts, pressures and tires (common practice, no source).

    Returns
    -------
    tuple of Suspect
        Likeliest first. Equal shares keep the order of `prior`, then of `counts`.

    Raises
    ------
    ValueError
        If a weight or a count is below zero or not finite, nothing weighs, or `strength` is not
        above zero.

    Notes
    -----
    Posterior mean of a Dirichlet distribution with ``strength * prior``: a share is
    ``(strength * prior + count) / (strength + all counts)``. With no counts it is the prior.

    Examples
    --------
    >>> order = rank_suspects({"frame end": 3, "axle end": 1}, {"axle end": 6}, strength=4)
    >>> [(one.key, round(one.share, 2)) for one in order]
    [('axle end', 0.7), ('frame end', 0.3)]
    """
    _check(prior, "prior")
    _check(counts, "counts")
    total = math.fsum(prior.values())
    if total <= 0:
        raise ValueError("prior must weigh something")
    if not 0 < strength < math.inf:
        raise ValueError("strength must be finite and above zero")
    found = math.fsum(counts.values())
    suspects = []
    for key in dict.fromkeys([*prior, *counts]):
        weight, count = prior.get(key, 0.0) / total, counts.get(key, 0.0)
        share = (strength * weight + count) / (strength + found)
        suspects.append(Suspect(key, weight, count, share))
    ahead = {key: place for place, key in enumerate(first)}
    suspects.sort(key=lambda one: (ahead.get(one.key, len(ahead)), -one.share))
    return tuple(suspects)


def _check(weights: Mapping[Key, float], name: str) -> None:
    if any(not 0 <= value < math.inf for value in weights.values()):
        raise ValueError(f"{name} must be finite and not below zero")
