"""The signature of a webhook, by the Standard Webhooks specification, version 1.0.0.

Signed is `id.timestamp.body` with HMAC-SHA-256 (RFC 2104); the header is `v1,` and the base64 of
it, one for each secret that counts, with a space between.
"""

import base64
import hashlib
import hmac
from collections.abc import Iterable, Mapping

PREFIX = "whsec_"


def shown(secret: bytes) -> str:
    """A secret as its receiver is told it."""
    return PREFIX + base64.b64encode(secret).decode()


def headers(
    secrets: Iterable[bytes], message_id: str, sent_at: int, body: str
) -> Mapping[str, str]:
    """What goes with the body; `sent_at` in whole seconds since 1970, of this try."""
    signed = [_signed(secret, message_id, sent_at, body) for secret in secrets]
    return {
        "webhook-id": message_id,
        "webhook-timestamp": str(sent_at),
        "webhook-signature": " ".join(signed),
    }


def _signed(secret: bytes, message_id: str, sent_at: int, body: str) -> str:
    said = f"{message_id}.{sent_at}.{body}".encode()
    return "v1," + base64.b64encode(hmac.new(secret, said, hashlib.sha256).digest()).decode()
