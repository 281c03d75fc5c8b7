"""A torque wrench with an extension straight on it: what comes to the fastener.

A crow-foot or an offset adapter makes the lever longer, while the wrench tells the torque at its
own square drive. Only the length in line with the handle counts: at a right angle to the handle
an adapter adds nothing, and a socket's own extension, along the fastener's axis, is none of this.

References
----------
US Army TM 1-1500-204-23-9, p. 8-15 ff. (TW = TA x L / (L + A), L from the drive to the middle of
the grip) and TM 9-254, figs. 45 and 46 (only the length in line with the handle adds).
"""

import math


def torque_at_fastener(torque: float, lever: float, extension: float) -> float:
    """Return the torque at the fastener for what the wrench says.

    Parameters
    ----------
    torque : float
        What the wrench is set to or reads, newton metres (or any unit; the answer is in it).
    lever : float
        From the middle of the square drive to the middle of the grip, where the hand pulls;
        metres, above zero.
    extension : float
        From the middle of the square drive to the middle of the fastener, in line with the
        handle and away from it; metres, not below zero.

    Returns
    -------
    float
        ``torque * (lever + extension) / lever``, never less than `torque`.

    Raises
    ------
    ValueError
        For a figure that is not finite, a torque or an extension below zero, or no lever.

    Examples
    --------
    >>> torque_at_fastener(60, 12, 2)
    70.0
    >>> torque_at_fastener(80.0, 0.45, 0.0)
    80.0
    """
    return torque * _factor(torque, lever, extension)


def torque_to_set(wanted: float, lever: float, extension: float) -> float:
    """Return what the wrench is set to so that `wanted` comes to the fastener.

    The inverse of `torque_at_fastener`, with its parameters and its errors.

    Examples
    --------
    >>> torque_to_set(40, 12, 4)
    30.0
    """
    return wanted / _factor(wanted, lever, extension)


def _factor(torque: float, lever: float, extension: float) -> float:
    """How much longer the lever is; exactly 1 without an extension."""
    if not all(map(math.isfinite, (torque, lever, extension))):
        raise ValueError("torque, lever and extension must be finite")
    if torque < 0 or extension < 0:
        raise ValueError("torque and extension must not be below zero")
    if lever <= 0:
        raise ValueError("the lever must be longer than nothing")
    return (lever + extension) / lever
