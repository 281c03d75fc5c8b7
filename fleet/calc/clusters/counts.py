"""Finds beside what was expected: the arrays checked once, and what too little data is called."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]

#: Plain words for each stable code. Callers that translate look up the code, not the words.
MESSAGES: dict[str, str] = {
    "nothing_expected": "no check that could have found anything",
    "no_finds": "no finds: a ratio can't be told",
    "one_sided": "all that was expected lies in the group, or none of it: nothing to compare with",
    "too_few_units": "fewer than two units to compare",
}


class ClusterError(ValueError):
    """Too little data for an answer; `code` is a key of `MESSAGES`, to translate by."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(MESSAGES[code])

    def __reduce__(self) -> tuple[type["ClusterError"], tuple[str]]:
        return type(self), (self.code,)


def counts(observed: ArrayLike, expected: ArrayLike) -> tuple[Floats, Floats]:
    """Return both as float arrays of one shape.

    Raises
    ------
    ValueError
        For values below zero or not finite, finds that are not whole, or shapes that don't fit.

    Examples
    --------
    >>> counts([1, 2], 0.5)
    (array([1., 2.]), array([0.5, 0.5]))
    """
    seen, due = np.broadcast_arrays(
        np.asarray(observed, dtype=np.float64), np.asarray(expected, dtype=np.float64)
    )
    if not (np.isfinite(seen).all() and np.isfinite(due).all()):
        raise ValueError("observed and expected must be finite")
    if np.any(seen < 0) or np.any(due < 0):
        raise ValueError("observed and expected must not be below zero")
    if np.any(seen != np.rint(seen)):
        raise ValueError("observed must be whole numbers")
    return seen, due


def summed(place: Ints, weight: Floats | Flags, size: int = 0) -> Floats:
    """Return the sum of the weights at each place, from 0 to the highest or to `size`.

    >>> summed(np.array([0, 2, 2]), np.array([1.0, 2.0, 3.0]))
    array([1., 0., 5.])
    """
    return np.bincount(place, weight, minlength=size).astype(np.float64, copy=False)


def places(name: str, values: ArrayLike, size: int, least: int = 0) -> Ints:
    """Return one whole number, `least` or more, for each of `size` rows.

    >>> places("stratum", [0, 2, 1], 3)
    array([0, 2, 1])
    """
    found = np.asarray(values)
    if found.size == 0:
        found = found.astype(np.intp)
    if found.shape != (size,):
        raise ValueError(f"{name} must have one entry for each row")
    if not np.issubdtype(found.dtype, np.integer) or (size and found.min() < least):
        raise ValueError(f"{name} must hold whole numbers from {least}")
    return found.astype(np.intp, copy=False)
