"""The check digit of codes that are read over, and codes by another program.

ISO/IEC 7064, MOD 11,10: numbers that other libraries of it give as valid (python-stdnum's and
stdnum-js's own examples). HMAC-SHA-256: OpenSSL's command line gave the digests behind the codes
of fixtures/rules/vectors/read_over.json.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from fleet.calc.read_over import Asked, code, heard_right, reply

VECTORS = json.loads(
    (Path(__file__).parents[2] / "fixtures/rules/vectors/read_over.json").read_text()
)["vectors"]
VALID = ("794623", "002006673085", "07945", "0032", "45557738808", "47166", "423280260")


@pytest.mark.parametrize("digits", VALID, ids=lambda said: f"ISO 7064 {said}")
def test_numbers_with_their_check_digit(digits: str) -> None:
    assert heard_right(digits)


@pytest.mark.parametrize("digits", VALID)
def test_one_wrong_digit_is_always_told(digits: str) -> None:
    """What the standard promises of single errors."""
    for place, digit in enumerate(digits):
        for other in set("0123456789") - {digit}:
            assert not heard_right(digits[:place] + other + digits[place + 1 :])


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["code"])
def test_codes_as_openssl_makes_them(vector: dict[str, Any]) -> None:
    asked = Asked(**vector["asked"])
    keys = {name: bytes.fromhex(vector[name]) for name in ("worker_key", "checker_key")}
    assert code(asked, **keys) == vector["code"]
    tablet_key = bytes.fromhex(vector["tablet_key"])
    assert reply(asked, vector["code"], tablet_key) == vector["reply"]
