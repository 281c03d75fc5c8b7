"""A wire between a browser and a server that can be cut, workers of the page included."""

import contextlib
import socket
import threading
from urllib.parse import urlsplit


class Wire:
    """Cut, it lets nothing through; `carried` counts the bytes that came down."""

    def __init__(self, server: str) -> None:
        self.to = (str(urlsplit(server).hostname), int(urlsplit(server).port or 80))
        self.whole, self.carried = True, 0
        self._open: set[socket.socket] = set()
        self._door = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self._door.getsockname()[1]}"
        threading.Thread(target=self._let_in, daemon=True).start()

    def _let_in(self) -> None:
        while True:
            try:
                caller, _where = self._door.accept()
            except OSError:
                return
            if not self.whole:
                caller.close()
                continue
            server = socket.create_connection(self.to)
            self._open |= {caller, server}
            for ends in ((caller, server, False), (server, caller, True)):
                threading.Thread(target=self._pass_on, args=ends, daemon=True).start()

    def _pass_on(self, one: socket.socket, other: socket.socket, down: bool) -> None:
        with contextlib.suppress(OSError):
            while said := one.recv(65536):
                self.carried += len(said) if down else 0
                other.sendall(said)
        for end in (one, other):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()
            self._open.discard(end)

    def cut(self) -> None:
        """From now on nothing comes through, what is under way included."""
        self.whole = False
        for end in list(self._open):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)

    def mend(self) -> None:
        """Everything comes through again."""
        self.whole = True

    def close(self) -> None:
        self.cut()
        self._door.close()
