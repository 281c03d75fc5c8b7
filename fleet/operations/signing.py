"""What a person's key on a tablet signs: lines of text, by HMAC-SHA-256 (RFC 2104)."""

import base64
import hashlib
import hmac


def signed(secret: bytes, *parts: str) -> str:
    """The signature of these parts, a line each, in base64url without padding."""
    digest = hmac.new(secret, "\n".join(parts).encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
