"""`seamwalk serve` as a process of its own, and phones that talk to it over HTTP."""

import json
import multiprocessing
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable
from http.cookiejar import CookieJar
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from typing import Any

from seamwalk.cli import main

# servers are forked from a process that has read their modules once: each comes up in a fifth of the time
_FORKS = multiprocessing.get_context("forkserver")
_FORKS.set_forkserver_preload(["seamwalk.cli", "seamwalk.web.wsgi"])
_ENDS_WITHIN_S = 30


class Server:
    """`seamwalk serve` as a process that can really be stopped and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"http://localhost:{self.port}"
        self.env = {**os.environ, "SEAMWALK_DIR": str(folder), "SEAMWALK_PUBLIC_URL": self.url}
        self.process: ForkServerProcess | None = None

    def run(self, *arguments: str, given: str = "") -> subprocess.CompletedProcess[str]:
        """Run a seamwalk command on the server's folder."""
        command = [sys.executable, "-m", "seamwalk", *arguments]
        return subprocess.run(command, env=self.env, input=given, capture_output=True, text=True)

    def start(self, *arguments: str, prepare: Callable[[], object] | None = None) -> None:
        """Start it and wait until it answers; `prepare`, which is pickled, runs in the new process first."""
        command = ["serve", "--port", str(self.port), *arguments]
        self.process = _FORKS.Process(target=_serve, args=(self.env, command, prepare))
        self.process.start()
        deadline = time.monotonic() + _ENDS_WITHIN_S
        while not self._is_up():
            assert self.process.is_alive(), "the server has ended"
            assert time.monotonic() < deadline, "the server did not come up"
            time.sleep(0.02)

    def _is_up(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self.port), timeout=2).close()
        except OSError:
            return False
        return True

    def kill(self) -> None:
        """Kill every process of it at once."""
        if self.process is not None:
            os.killpg(self.process.pid or 0, signal.SIGKILL)
            self._ended()

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self._ended()

    def _ended(self) -> None:
        assert self.process is not None
        self.process.join(_ENDS_WITHIN_S)
        assert self.process.exitcode is not None, "the server does not end"
        self.process.close()
        self.process = None
        while self._is_up():  # a worker that was killed with it may not be gone yet
            time.sleep(0.02)


def _serve(env: dict[str, str], command: list[str], prepare: Callable[[], object] | None) -> None:
    """In the new process: what `python -m seamwalk` does, in a group of its own."""
    os.setsid()
    os.environ.clear()
    os.environ.update(env)
    multiprocessing.set_start_method("fork", force=True)  # as in a process that was not forked from another
    if prepare is not None:
        prepare()
    sys.exit(main(command))


class Answer:
    """An HTTP answer, read as a test client's."""

    def __init__(self, status_code: int, data: bytes) -> None:
        self.status_code, self.data = status_code, data

    @property
    def text(self) -> str:
        return self.data.decode("utf-8", "replace")

    @property
    def json(self) -> Any:
        try:
            return json.loads(self.data)
        except ValueError:
            return None


class HttpClient:
    """What `SimulatedPhone` needs of a test client, over real HTTP; raises OSError without a network."""

    def __init__(self, url: str) -> None:
        self._url = url
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))

    def post(self, path: str, *, json: Any, headers: dict[str, str]) -> Answer:
        return self._call("POST", path, _dump(json), {**headers, "Content-Type": "application/json"})

    def put(self, path: str, *, data: bytes, headers: dict[str, str]) -> Answer:
        return self._call("PUT", path, data, headers)

    def get(self, path: str) -> Answer:
        return self._call("GET", path, None, {})

    def _call(self, method: str, path: str, data: bytes | None, headers: dict[str, str]) -> Answer:
        request = urllib.request.Request(self._url + path, data, headers, method=method)
        try:
            with self._opener.open(request, timeout=10) as answer:
                return Answer(answer.status, answer.read())
        except urllib.error.HTTPError as error:
            with error:
                return Answer(error.code, error.read())


def _dump(value: Any) -> bytes:
    return json.dumps(value).encode()
