"""Short codes that are read over a radio or a telephone, computed alike on both sides.

Digits only, since letters are taken for one another; the last is a check digit, so that one
misheard digit or two swapped are told apart from a code that is not true.
"""

import hashlib
import hmac
from dataclasses import dataclass
from datetime import datetime

CODE_DIGITS, REPLY_DIGITS = 9, 5
_MODULUS = 10


@dataclass(frozen=True)
class Asked:
    """What a code vouches for.

    Parameters
    ----------
    tablet : str
        The tablet's uid.
    vehicle : str
        Its unit number.
    ticket : int
        The ticket whose work is done.
    worker, checker : int
        The people whose PINs were given, by their ids.
    hour : str
        In UTC, as `hour_of` writes it.
    """

    tablet: str
    vehicle: str
    ticket: int
    worker: int
    checker: int
    hour: str

    @property
    def message(self) -> bytes:
        """What is signed: each part on a line of its own."""
        parts = ("read-over 1", self.tablet, self.vehicle, self.ticket, self.worker, self.checker,
                 self.hour)  # fmt: skip
        return "\n".join(str(part) for part in parts).encode()


def hour_of(moment: datetime) -> str:
    """The hour that a code is of, in UTC.

    >>> from datetime import UTC
    >>> hour_of(datetime(2026, 11, 28, 21, 47, tzinfo=UTC))
    '2026-11-28T21'
    """
    return moment.strftime("%Y-%m-%dT%H")


def code(asked: Asked, worker_key: bytes, checker_key: bytes) -> str:
    """The code that both people's keys together make.

    Parameters
    ----------
    asked : Asked
    worker_key, checker_key : bytes
        What each signs with on that tablet.

    Returns
    -------
    str
        Nine digits and their check digit.

    Notes
    -----
    HMAC-SHA-256 under the worker's key of the HMAC-SHA-256 under the checker's: neither can make
    it alone. Of the digest the first eight bytes count, as a number.

    References
    ----------
    RFC 2104 (HMAC); ISO/IEC 7064, MOD 11,10 (the check digit).

    Examples
    --------
    >>> asked = Asked("0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11", "MT-3", 41, 7, 9, "2026-11-28T21")
    >>> code(asked, b"w" * 32, b"c" * 32)
    '8143079743'
    """
    inner = hmac.new(checker_key, asked.message, hashlib.sha256).digest()
    return _digits(hmac.new(worker_key, inner, hashlib.sha256).digest(), CODE_DIGITS)


def reply(asked: Asked, said: str, tablet_key: bytes) -> str:
    """The answer to a code, by which the tablet knows that a manager has entered it.

    Parameters
    ----------
    asked : Asked
    said : str
        The code that is answered.
    tablet_key : bytes
        Known to the tablet and to the server.

    Returns
    -------
    str
        Five digits and their check digit.

    Examples
    --------
    >>> asked = Asked("0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11", "MT-3", 41, 7, 9, "2026-11-28T21")
    >>> reply(asked, "8143079743", b"d" * 32)
    '547391'
    """
    message = b"reply\n" + asked.message + b"\n" + said.encode()
    return _digits(hmac.new(tablet_key, message, hashlib.sha256).digest(), REPLY_DIGITS)


def heard_right(said: str) -> bool:
    """Whether the check digit is that of the others.

    Parameters
    ----------
    said : str
        Digits alone.

    Returns
    -------
    bool
        False where a digit was misheard, or two beside each other were swapped.

    Examples
    --------
    >>> heard_right("794623"), heard_right("794632")
    (True, False)
    """
    if not (said[:-1] and said.isascii() and said.isdigit()):
        return False
    return check_digit(said[:-1]) == said[-1]


def check_digit(digits: str) -> str:
    """ISO/IEC 7064, MOD 11,10.

    >>> check_digit("79462")
    '3'
    """
    product = _MODULUS
    for digit in digits:
        total = (product + int(digit)) % _MODULUS or _MODULUS
        product = (2 * total) % (_MODULUS + 1)
    return str((_MODULUS + 1 - product) % _MODULUS)


def _digits(digest: bytes, count: int) -> str:
    number = int.from_bytes(digest[:8], "big") % _MODULUS**count
    text = str(number).zfill(count)
    return text + check_digit(text)
