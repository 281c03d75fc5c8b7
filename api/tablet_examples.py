"""Examples of what a tablet sends."""

from drf_spectacular.utils import OpenApiExample

ENROL = [OpenApiExample("a code", {"code": "7KQ2M9XDHT"}, request_only=True)]
SIGN_ON = [
    OpenApiExample("somebody", {"username": "dov", "password": "..."}, request_only=True),
]
SYNC = [
    OpenApiExample(
        "one reading",
        {
            "schema": 1,
            "app": "2026-11-28",
            "sent_at": "2026-11-28T21:04:11.203Z",
            "waiting": 1,
            "operations": [
                {
                    "uid": "0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11",
                    "n": 12,
                    "person": 7,
                    "key": "0197a3c2-0000-7c44-9f0a-2f6b1c0d9e11",
                    "verb": "record_meter",
                    "made_at": "2026-11-28T18:30:05.120Z",
                    "offset_ms": -140,
                    "instead_of": None,
                    "body": '{"vehicle":"AB-112","reading":"48,210"}',
                    "mac": "5vZ9rJ8c1tq0gk3mWc0m4b7l0r7uXv1m3dC2n5o8a9E",
                }
            ],
        },
        request_only=True,
    ),
]
