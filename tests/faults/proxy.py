"""A way to a database server that a test can close and open: what a cable or a restart does."""

import socket
import threading
from contextlib import suppress

from sqlalchemy import URL, make_url


class Proxy:
    """Listens on a port of localhost and passes on what comes, as long as it is open."""

    def __init__(self, url: str) -> None:
        self._target = make_url(url)
        self._open: list[socket.socket] = []
        self._listener: socket.socket | None = None
        self.port = 0
        self.open()

    @property
    def url(self) -> str:
        """The database's URL by this way."""
        plain = URL.create(
            self._target.drivername,
            self._target.username,
            self._target.password,
            "127.0.0.1",
            self.port,
            self._target.database,
        )
        return plain.render_as_string(hide_password=False)

    def open(self) -> None:
        """Let through, from now on, at the same port."""
        self._listener = socket.create_server(("127.0.0.1", self.port))
        self.port = self._listener.getsockname()[1]
        threading.Thread(target=self._accept, args=(self._listener,), daemon=True).start()

    def close(self) -> None:
        """Break every connection off and let none through."""
        if self._listener is not None:
            with suppress(OSError):
                self._listener.shutdown(socket.SHUT_RDWR)
            self._listener.close()
        for end in self._open:
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()
        self._open, self._listener = [], None

    def _accept(self, listener: socket.socket) -> None:
        with suppress(OSError):
            while True:
                client, _ = listener.accept()
                server = self._connect()
                self._open += [client, server]
                for source, target in ((client, server), (server, client)):
                    threading.Thread(target=_pass_on, args=(source, target), daemon=True).start()

    def _connect(self) -> socket.socket:
        host = str(self._target.query.get("host") or self._target.host or "localhost")
        port = self._target.port or 5432
        if host.startswith("/"):
            made = socket.socket(socket.AF_UNIX)
            made.connect(f"{host}/.s.PGSQL.{port}")
            return made
        return socket.create_connection((host, port))


def _pass_on(source: socket.socket, target: socket.socket) -> None:
    with suppress(OSError):
        while data := source.recv(65536):
            target.sendall(data)
    for end in (source, target):
        with suppress(OSError):
            end.shutdown(socket.SHUT_RDWR)
