"""A program that is told of events: a real HTTP server on this machine, answering as it is told.

It holds each signature against the secret by itself, as the specification tells receivers to.
"""

import base64
import hashlib
import hmac
import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


@dataclass
class Receiver:
    """What came, and what is answered next: each answer in its turn, then 204."""

    port: int = 0
    answers: list[int] = field(default_factory=list)
    headers: dict[str, str] = field(default_factory=dict)
    # Seconds before the status line, and between the bytes of an answer that trickles.
    slow: float = 0.0
    trickle: float = 0.0
    got: list[tuple[dict[str, str], bytes]] = field(default_factory=list)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/in?from=axlekeep"

    @property
    def bodies(self) -> list[dict[str, Any]]:
        return [json.loads(body) for _headers, body in self.got]

    @property
    def ids(self) -> list[str]:
        return [headers["webhook-id"] for headers, _body in self.got]


def stands(secret: str, headers: dict[str, str], body: bytes) -> bool:
    """Whether one of the signatures is of this body, id and moment (Standard Webhooks 1.0.0)."""
    key = base64.b64decode(secret.removeprefix("whsec_"))
    said = b".".join([headers["webhook-id"].encode(), headers["webhook-timestamp"].encode(), body])
    wanted = "v1," + base64.b64encode(hmac.new(key, said, hashlib.sha256).digest()).decode()
    return wanted in headers["webhook-signature"].split(" ")


@contextmanager
def receiving() -> Iterator[Receiver]:
    told = Receiver()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            told.got.append(({name.lower(): value for name, value in self.headers.items()}, body))
            time.sleep(told.slow)
            if told.trickle:
                self._trickle()
                return
            self.send_response(told.answers.pop(0) if told.answers else 204)
            for name, value in told.headers.items():
                self.send_header(name, value)
            self.end_headers()

        def _trickle(self) -> None:
            """One byte at a time: no single wait is ever long."""
            try:
                for sign in b"HTTP/1.1 200 OK\r\n" + b"X-Slow: " + b"a" * 500:
                    self.wfile.write(bytes([sign]))
                    self.wfile.flush()
                    time.sleep(told.trickle)
            except OSError:
                pass  # the other side had enough

        def log_message(self, *_: object) -> None:
            """Nothing on the screen."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    told.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield told
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
