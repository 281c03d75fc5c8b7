"""Spells: how long joints stayed tight, as checks can tell it.

A spell starts when the fastener is turned. Between the last check that found it tight and the
first that found it loose nobody knows when it gave; most are still tight.
"""

from typing import Any, final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Codes = NDArray[np.intp]


@final
class Spells:
    """Lives known only to lie between two bounds.

    Parameters
    ----------
    lower : array_like, shape (n,)
        Use since turning (metres or seconds) at the last check still tight; 0 where none was.
    upper : array_like, shape (n,)
        The same at the first check found loose; ``inf`` where none was. Equal to `lower`: known
        exactly.
    entry : array_like, shape (n,), optional
        Use at which watching began; what gave before was never heard of. Not above `lower`.
    count : array_like, shape (n,), optional
        How many spells a row stands for, not below zero.
    cluster : array_like, shape (n,), optional
        The vehicle of each row, any labels; spells of one vehicle hang together. None: each
        spell stands for itself.

    Raises
    ------
    ValueError
        For arrays that don't fit each other, not a number, below zero or out of order; for a life
        of exactly nothing; and for a row from 0 to ``inf``, which carries nothing.

    Notes
    -----
    One row a spell: of any number of tight checks only the last counts. One row a check would
    count a spell as many times as it was looked at, and makes lives look longer than they are.

    Examples
    --------
    >>> Spells([0, 500, 900], [300, 800, np.inf]).finds
    2.0
    """

    __slots__ = ("cluster", "count", "entry", "lower", "upper")
    lower: Floats
    upper: Floats
    entry: Floats | None
    count: Floats | None
    cluster: NDArray[Any] | None

    def __init__(
        self,
        lower: ArrayLike,
        upper: ArrayLike,
        entry: ArrayLike | None = None,
        count: ArrayLike | None = None,
        cluster: ArrayLike | None = None,
    ) -> None:
        given = {
            "lower": _floats(lower),
            "upper": _floats(upper),
            "entry": None if entry is None else _floats(entry),
            "count": None if count is None else _floats(count),
            "cluster": None if cluster is None else np.asarray(cluster),
        }
        for name, value in given.items():
            object.__setattr__(self, name, value)
        _check(self)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"spells are not changed; make new ones with another {name}")

    def __repr__(self) -> str:
        return f"<{self.weight.sum():g} spells, {self.finds:g} of them ended with a find>"

    def __reduce__(self) -> tuple[type["Spells"], tuple[object, ...]]:
        return type(self), (self.lower, self.upper, self.entry, self.count, self.cluster)

    @property
    def weight(self) -> Floats:
        """How many spells each row stands for."""
        return np.ones_like(self.lower) if self.count is None else self.count

    @property
    def found(self) -> NDArray[np.bool_]:
        """Rows that stand for spells which ended with a find."""
        return np.asarray(np.isfinite(self.upper) & (self.weight > 0))

    @property
    def finds(self) -> float:
        """Spells that ended with a find."""
        return float(self.weight[self.found].sum())

    @property
    def vehicles_with_finds(self) -> float:
        """Vehicles on which something was found; spells, where vehicles are not told."""
        if self.cluster is None:
            return self.finds
        return float(np.unique(self.cluster[self.found]).size)

    @property
    def longest_tight(self) -> float:
        """The longest use at which a joint was still found tight; 0 without spells."""
        return float(np.max(self.lower[self.weight > 0], initial=0.0))

    def codes(self) -> tuple[Codes, int]:
        """Number the vehicles from 0, in the order of their labels; and how many there are."""
        if self.cluster is None:
            return np.arange(self.lower.size), self.lower.size
        labels, codes = np.unique(self.cluster, return_inverse=True)
        return codes, labels.size


def tally(of: Codes, values: Floats, many: int) -> Floats:
    """Sum values by their number, from 0 up to `many`."""
    return np.asarray(np.bincount(of, values, many), dtype=np.float64)


def _floats(values: ArrayLike) -> Floats:
    made = np.array(values, dtype=np.float64)
    made.flags.writeable = False
    return made


def _check(spells: Spells) -> None:
    lower, upper = spells.lower, spells.upper
    for name in ("lower", "upper", "entry", "count", "cluster"):
        value = getattr(spells, name)
        if value is not None and (value.ndim != 1 or value.size != lower.size):
            raise ValueError(f"{name} must have one value a spell")
    entry = 0.0 if spells.entry is None else spells.entry
    # Written so that nan fails too.
    if not np.all((entry >= np.zeros_like(lower)) & (entry <= lower)):
        raise ValueError("entry must lie between 0 and lower")
    if not np.all((lower <= upper) & (lower < np.inf)):
        raise ValueError("lower must be finite and not above upper")
    if not np.all(upper > 0):
        raise ValueError("a life of exactly 0 is not one: upper must be above 0")
    if np.any((lower == 0) & np.isinf(upper)):
        raise ValueError("a row from 0 to inf carries nothing: leave it out")
    if not np.all((spells.weight >= 0) & np.isfinite(spells.weight)):
        raise ValueError("count must be finite and not below zero")
