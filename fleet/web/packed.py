"""Answers that are the same for everybody: compressed once, and then as well as can be."""

import json
from functools import lru_cache
from typing import Any

import brotli
from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_vary_headers

# More is a second's work, which nobody waits for twice.
QUALITY = 11


def packed_json(request: HttpRequest, data: Any) -> HttpResponse:
    """Data as JSON, in Brotli (RFC 7932) for who takes it. `PagesGzip` serves all others."""
    body = json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()
    answer = HttpResponse(body, content_type="application/json")
    if _takes_brotli(request):
        answer.content = _brotli(body)
        answer["Content-Encoding"] = "br"
        patch_vary_headers(answer, ["Accept-Encoding"])
    return answer


def _takes_brotli(request: HttpRequest) -> bool:
    """Browsers name it where the address is secure, as a tablet's always is."""
    said = request.headers.get("Accept-Encoding", "").replace(" ", "").split(",")
    return any(one == "br" or (one.startswith("br;") and one != "br;q=0") for one in said)


@lru_cache(maxsize=8)
def _brotli(body: bytes) -> bytes:
    return bytes(brotli.compress(body, mode=brotli.MODE_TEXT, quality=QUALITY))
