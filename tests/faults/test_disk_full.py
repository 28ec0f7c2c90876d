"""The disk is full, three ways: nothing is acknowledged, it says so, reading goes on, room brings it back."""

import os
import resource
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import event, text

from helpers import NOW, Site, make_site
from real_server import HttpClient, Server
from seamwalk_demo.crew import NotAsExpected, SimulatedPhone

CHECK = "A/tile/1.1/condition:sound"
MANY = 400


def write_much(phone: SimulatedPhone) -> None:
    """More than fits."""
    for _ in range(MANY):
        body = {"plan": "0" * 64, "checks": [CHECK], "result": "ok", "answers": ["0" * 64] * 20}
        phone.write("found", body, NOW)


def refuses_and_reads_on(phone: SimulatedPhone) -> None:
    """It says that it is full, acknowledges nothing, and still gives the book."""
    size = phone.frontier.tree_size
    with pytest.raises(NotAsExpected, match=r"507.*storage_full"):
        phone.sync()
    waiting, phone.pending = phone.pending, []
    assert phone.acknowledged == set()
    assert phone.sync() == []
    assert phone.frontier.tree_size == size
    phone.pending = waiting


def takes_all_again(phone: SimulatedPhone) -> None:
    """Once there is room."""
    assert phone.sync() == ["kept"] * MANY
    assert phone.pending == []


def test_the_database_may_grow_no_more(tmp_path: Path) -> None:
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    phone = site.phone()
    write_much(phone)
    pages = _pragma(site, "page_count")
    limit = [pages + 4]
    event.listen(site.store.engine, "begin", lambda c: c.exec_driver_sql(f"PRAGMA max_page_count={limit[0]}"))
    refuses_and_reads_on(phone)
    limit[0] = 1_000_000
    takes_all_again(phone)
    site.store.engine.dispose()


def _pragma(site: Site, name: str) -> int:
    with site.store.engine.connect() as connection:
        return int(connection.execute(text(f"PRAGMA {name}")).scalar_one())


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 8 MB."""
    folder = tmp_path / "small"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=8m", "tmpfs", str(folder)]
    if os.geteuid() != 0 or subprocess.run(command, capture_output=True).returncode != 0:
        pytest.skip("mounting a small file system needs root")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def test_the_file_system_is_full(small_disk: Path) -> None:
    site = make_site(small_disk, f"sqlite:///{small_disk / 'seamwalk.db'}")
    phone = site.phone()
    write_much(phone)
    filler = small_disk / "filler"
    room = os.statvfs(small_disk)
    filler.write_bytes(bytes(room.f_bavail * room.f_bsize - 50_000))
    refuses_and_reads_on(phone)
    filler.unlink()
    takes_all_again(phone)
    site.store.engine.dispose()


def test_the_process_may_write_no_larger_files(tmp_path: Path) -> None:
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    site.clock[0] = datetime.now(UTC)
    token = site.invite()
    site.store.engine.dispose()
    limit = (tmp_path / "seamwalk.db").stat().st_size + 150_000
    server = Server(tmp_path)
    server.start(prepare=partial(resource.setrlimit, resource.RLIMIT_FSIZE, (limit, limit)))
    phone = SimulatedPhone(HttpClient(server.url), site.book)
    phone.join(token, "Rosa")
    phone.sync()
    write_much(phone)
    refuses_and_reads_on(phone)
    server.stop()
    server.start()
    takes_all_again(phone)
    server.stop()
