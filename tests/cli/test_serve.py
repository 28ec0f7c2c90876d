"""`seamwalk serve` as whoever runs it starts it: a process of its own, by its command."""

import subprocess
import sys
import time
from pathlib import Path

from real_server import HttpClient, Server

ENDS_WITHIN_S = 30


def health(url: str) -> dict[str, object]:
    """What a server says of itself, as soon as it says anything."""
    deadline = time.monotonic() + ENDS_WITHIN_S
    while True:
        try:
            return dict(HttpClient(url).get("/api/v1/health").json)
        except OSError:
            assert time.monotonic() < deadline, "the server did not come up"
            time.sleep(0.05)


def test_it_answers_and_ends_when_it_is_told_to(tmp_path: Path) -> None:
    at = Server(tmp_path)  # where it lies and listens; it is not started by this
    command = [sys.executable, "-m", "seamwalk", "serve", "--port", str(at.port)]
    with subprocess.Popen(command, env=at.env, stdout=subprocess.PIPE, text=True) as process:
        told = health(at.url)
        process.terminate()
        said, _ = process.communicate(timeout=ENDS_WITHIN_S)
    assert told["seamwalk"] == 1
    assert process.returncode == 0
    assert said.startswith(f"Seamwalk at http://127.0.0.1:{at.port}/")
