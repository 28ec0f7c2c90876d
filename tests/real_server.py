"""`seamwalk serve` as a process of its own, and phones that talk to it over HTTP."""

import json
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
from pathlib import Path
from typing import Any


class Server:
    """`seamwalk serve` as a process that can really be stopped and started again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.url = f"http://localhost:{self.port}"
        self.env = {**os.environ, "SEAMWALK_DIR": str(folder), "SEAMWALK_PUBLIC_URL": self.url}
        self.process: subprocess.Popen[bytes] | None = None

    def run(self, *arguments: str, given: str = "") -> subprocess.CompletedProcess[str]:
        """Run a seamwalk command on the server's folder."""
        command = [sys.executable, "-m", "seamwalk", *arguments]
        return subprocess.run(command, env=self.env, input=given, capture_output=True, text=True)

    def start(self, prepare: Callable[[], None] | None = None) -> None:
        """Start it and wait until it answers; `prepare` runs in the new process first."""
        command = [sys.executable, "-m", "seamwalk", "serve", "--port", str(self.port)]
        self.process = subprocess.Popen(command, env=self.env, preexec_fn=prepare, start_new_session=True)
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            try:
                with urllib.request.urlopen(f"{self.url}/api/v1/health", timeout=2):
                    return
            except OSError:
                time.sleep(0.1)
        raise AssertionError("the server did not come up")

    def kill(self) -> None:
        """Kill every process of it at once."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(30)
            self.process = None

    def stop(self) -> None:
        if self.process is not None:
            self.process.terminate()
            self.process.wait(30)
            self.process = None


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
