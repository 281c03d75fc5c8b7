"""A mail server on this machine: a real one, which takes, refuses, or dies as it is told."""

import asyncio
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller


@dataclass
class PostOffice:
    """What was taken; what is said to the next recipients and letters, each in its turn."""

    port: int = 0
    taken: list[EmailMessage] = field(default_factory=list)
    to_recipients: list[str] = field(default_factory=list)
    # "dies" ends the connection once the whole letter has come, before a word of answer.
    to_letters: list[str] = field(default_factory=list)

    async def handle_RCPT(  # noqa: N802  (the library's name)
        self, _server: Any, _session: Any, envelope: Any, address: str, _options: Any
    ) -> str:
        said = self.to_recipients.pop(0) if self.to_recipients else "250 OK"
        if said.startswith("250"):
            envelope.rcpt_tos.append(address)
        return said

    async def handle_DATA(  # noqa: N802  (the library's name)
        self, server: Any, _session: Any, envelope: Any
    ) -> str:
        said = self.to_letters.pop(0) if self.to_letters else "250 OK"
        if said == "dies":
            server.transport.abort()
            await asyncio.sleep(0)
            return "250 OK"
        if said.startswith("250"):
            letter = message_from_bytes(envelope.content, policy=policy.default)
            self.taken.append(letter)
        return said


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def post_office() -> Iterator[PostOffice]:
    office = PostOffice(port=free_port())
    controller = Controller(office, hostname="127.0.0.1", port=office.port)
    controller.start()
    try:
        yield office
    finally:
        controller.stop()
