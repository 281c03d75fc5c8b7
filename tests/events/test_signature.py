"""Signatures, held against published vectors."""

import base64
import hashlib
import hmac

import pytest

from fleet.operations import webhook_signature


def test_the_example_of_the_specifications_own_libraries() -> None:
    """Standard Webhooks, reference libraries, `TestWebhookSign` (go/webhook_test.go)."""
    secret = base64.b64decode("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw")
    found = webhook_signature.headers(
        [secret], "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, '{"test": 2432232314}'
    )
    assert found == {
        "webhook-id": "msg_p5jXN8AQM9LWM0D4loKWxJek",
        "webhook-timestamp": "1614265330",
        "webhook-signature": "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
    }
    assert webhook_signature.shown(secret) == "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"


@pytest.mark.parametrize(
    ("key", "data", "digest"),
    [
        ("0b" * 20, b"Hi There",
         "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"),
        (b"Jefe".hex(), b"what do ya want for nothing?",
         "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"),
    ],
    ids=["RFC 4231, 4.2, test case 1", "RFC 4231, 4.3, test case 2"],
)  # fmt: skip
def test_the_hash_it_stands_on(key: str, data: bytes, digest: str) -> None:
    assert hmac.new(bytes.fromhex(key), data, hashlib.sha256).hexdigest() == digest


def test_two_secrets_sign_side_by_side() -> None:
    """Specification, 'Webhook headers': a list with spaces, for a change without a gap."""
    said = webhook_signature.headers([b"new" * 8, b"old" * 8], "msg_1", 1, "{}")
    new, old = said["webhook-signature"].split(" ")
    assert new == webhook_signature.headers([b"new" * 8], "msg_1", 1, "{}")["webhook-signature"]
    assert old == webhook_signature.headers([b"old" * 8], "msg_1", 1, "{}")["webhook-signature"]
