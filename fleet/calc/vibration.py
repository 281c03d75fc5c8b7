"""A shake on a road test: its frequency, its wheel order, and whether it follows the speed.

A phone or logger anywhere in the cab will do: the spectra of all axes are added, so how it lies
does not matter, and gravity is taken out. What shakes faster than half the sampling rate folds
down into the record and can't be told from the rest.

Nothing here is a clearance to drive. Axle oscillation is never provoked, and a truck that had it
is not driven.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import signal

from fleet.calc.decay import Damping, damping_ratio
from fleet.calc.peaks import BAND, peaks, within
from fleet.calc.samples import Even, VibrationError, even
from fleet.calc.speed_follow import SpeedFollow, follow_speed, wheel_order

__all__ = [
    "BAND", "Damping", "Peak", "Spectrum", "SpeedFollow", "VibrationError", "damping_ratio",
    "dominant_frequency", "follow_speed", "spectrum", "wheel_order",
]  # fmt: skip

Floats = NDArray[np.float64]

#: Length of the pieces that are averaged, seconds: a quarter of a hertz.
SEGMENT, SHORTEST = 4.0, 2.0
#: Spectra are drawn in finer steps by noughts behind each piece.
_PADDED = 4


@dataclass(frozen=True, slots=True)
class Peak:
    """The strongest frequency of a record.

    Attributes
    ----------
    hertz : float
    amplitude : float
        Of the swing each way, over all axes, m/s². With every fourth sample missing and fewer
        than four left to a swing it reads up to a third low.
    share : float
        Of all that shakes in the band: near 1 a clean tone, a few hundredths mere noise.
    """

    hertz: float
    amplitude: float
    share: float


@dataclass(frozen=True, slots=True, eq=False)
class Spectrum:
    """Power density over frequency, all axes added: hertz, and (m/s²)² a hertz."""

    hertz: Floats
    density: Floats


def spectrum(time: ArrayLike, acceleration: ArrayLike) -> Spectrum:
    """Estimate the spectrum of a record by Welch's method.

    Parameters
    ----------
    time : array_like, shape (n,)
        Seconds, rising; uneven steps and missing samples are borne, see `fleet.calc.samples`.
    acceleration : array_like, shape (n,) or (n, axes)
        m/s², one to three axes, gravity on any; nan where a sample is missing.

    Returns
    -------
    Spectrum
        From 0 to half the sampling rate.

    Raises
    ------
    VibrationError
        With a stable code, where nothing can be said.

    Notes
    -----
    Pieces of 4 s (of the longest stretch, if that is shorter), Hann windows half over each
    other, each less its own straight line: gravity and a slow tilt go with it.

    Examples
    --------
    >>> time = np.arange(0, 20, 0.01)
    >>> found = spectrum(time, 9.81 + np.sin(2 * np.pi * 8 * time))
    >>> float(found.hertz[found.density.argmax()])
    8.0
    """
    found, _ = _spectrum(even(time, acceleration, SHORTEST))
    return found


def _spectrum(record: Even) -> tuple[Spectrum, float]:
    """Return the spectrum and the length of its pieces, seconds."""
    longest = max(len(stretch.values) for stretch in record.stretches)
    piece = min(longest, round(SEGMENT * record.rate))
    density, pieces = np.zeros(1), 0
    hertz = np.zeros(1)
    for stretch in record.stretches:
        if len(stretch.values) < piece:
            continue
        hertz, power = signal.welch(
            stretch.values, record.rate, nperseg=piece, nfft=_PADDED * piece,
            detrend="linear", axis=0,
        )  # fmt: skip
        count = 1 + (len(stretch.values) - piece) // (piece - piece // 2)
        density, pieces = density + count * power.sum(axis=1), pieces + count
    return Spectrum(hertz, density / pieces), piece / record.rate


def dominant_frequency(
    time: ArrayLike, acceleration: ArrayLike, *, band: tuple[float, float] = BAND
) -> Peak:
    """Find the strongest frequency of a record.

    Parameters
    ----------
    time, acceleration : array_like
        As in `spectrum`.
    band : (float, float)
        Where to look, hertz; its top is lowered to under half the sampling rate.

    Returns
    -------
    Peak
        Always one: judge it by its share.

    Examples
    --------
    >>> time = np.arange(0, 20, 0.01)
    >>> tone = np.sin(2 * np.pi * 7.3 * time)
    >>> peak = dominant_frequency(time, np.column_stack([0.3 * tone, 0.4 * tone, 0 * time - 9.81]))
    >>> round(peak.hertz, 2), round(peak.amplitude, 2), round(peak.share, 1)
    (7.3, 0.5, 1.0)
    """
    record = even(time, acceleration, SHORTEST)
    found, seconds = _spectrum(record)
    hertz, net, total = peaks(found.hertz, found.density[None], seconds, within(band, record.rate))
    share = min(net[0] / total[0], 1.0) if total[0] > 0 else 0.0
    return Peak(float(hertz[0]), float(np.sqrt(2 * net[0])), float(share))
