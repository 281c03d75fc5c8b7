"""The strongest frequency in spectra: where it stands, and how far out of the rest."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: From above the body's bounce to twice a wheel at road speed, hertz (own).
BAND = (2.0, 30.0)
#: The top of the band is kept this far under half the sampling rate.
_GUARD = 0.45
#: Half the width of a Hann window's peak, in steps of one over its length.
_LOBE = 2.0


def within(band: tuple[float, float], rate: float) -> tuple[float, float]:
    """Return the band with its top under half the sampling rate."""
    low, high = band[0], min(band[1], _GUARD * rate)
    if not 0 < low < high:
        raise ValueError("band must rise, above zero and under half the sampling rate")
    return low, high


def peaks(
    hertz: Floats, density: Floats, seconds: float, band: tuple[float, float]
) -> tuple[Floats, Floats, Floats]:
    """Find the strongest frequency of each of many spectra.

    Parameters
    ----------
    hertz : ndarray, shape (f,)
        Even steps from 0.
    density : ndarray, shape (n, f)
        Power density, of pieces under a Hann window.
    seconds : float
        Length of the pieces.
    band : (float, float)
        Where to look, hertz.

    Returns
    -------
    hertz, net, total : ndarray, shape (n,)
        The frequency, by a parabola through the logarithms; the power of its peak less the floor
        beside it; and the power of the band.

    Examples
    --------
    >>> steps = np.arange(0, 26, 0.25)
    >>> found, net, total = peaks(steps, np.exp(-8 * (steps - 9.1) ** 2)[None], 2.0, (2.0, 25.0))
    >>> found.round(3).tolist()
    [9.1]
    """
    inside = np.flatnonzero((hertz >= band[0]) & (hertz <= band[1]))
    step, power = hertz[1] - hertz[0], density[:, inside]
    row = np.arange(len(density))
    at = inside[power.argmax(axis=1)]
    near = np.log(np.maximum(density[row[:, None], at[:, None] + np.array([-1, 0, 1])], 1e-300))
    bend = near[:, 0] - 2 * near[:, 1] + near[:, 2]
    off = np.where(bend < 0, (near[:, 0] - near[:, 2]) / (2 * np.where(bend < 0, bend, 1)), 0.0)
    found = np.clip(hertz[at] + np.clip(off, -1, 1) * step, *band)
    lobe = np.abs(hertz[inside] - hertz[at][:, None]) <= _LOBE / seconds
    floor = _floor(power, lobe)
    net = np.sum(np.where(lobe, power - floor[:, None], 0.0), axis=1) * step
    return found, np.maximum(net, 0.0), power.sum(axis=1) * step


def _floor(power: Floats, lobe: NDArray[np.bool_]) -> Floats:
    """Median power beside the peak; a tone's own tails lie far under it."""
    beside = np.where(lobe, np.inf, power)
    ordered = np.sort(beside, axis=1)
    middle = np.maximum((~lobe).sum(axis=1) // 2, 0)
    value = ordered[np.arange(len(power)), np.minimum(middle, power.shape[1] - 1)]
    return np.where(np.isfinite(value), value, 0.0)
