"""Nights on which everything goes wrong (SEAMWALK_SEEDS of them), and nine bugs that must not pass."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
import sim_replica
from sim_bugs import BUGS
from sim_run import Broken
from sim_server import Machine
from sim_world import World

SEEDS = int(os.environ.get("SEAMWALK_SEEDS", "600"))
PARTS = 8
SEEDS_FOR_A_BUG = 300
_FAST = Path("/dev/shm")


@pytest.fixture(scope="session")
def machine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machine]:
    """The engine of all runs of this process; in memory where that is to be had, for no power is cut here."""
    folder = tmp_path_factory.mktemp("simulation")
    if os.access(_FAST, os.W_OK):
        folder = _FAST / f"seamwalk-simulation-{os.getpid()}"
        folder.mkdir()
    yield Machine(folder)
    shutil.rmtree(folder)


@pytest.fixture(scope="session")
def replica(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return sim_replica.bundle(tmp_path_factory.mktemp("replica"))


@pytest.mark.parametrize("part", range(PARTS))
def test_nothing_is_lost_doubled_or_hidden(machine: Machine, replica: Path, part: int) -> None:
    books = []
    for seed in range(part, SEEDS, PARTS):
        world = World(seed, machine)
        books.append(world.run())
    for book, found in zip(books, sim_replica.states(replica, books, part), strict=True):
        assert found == book["states"], f"seed {book['seed']}: the phone's fold tells it differently"


@pytest.mark.parametrize("bug", [name for name in BUGS if name != "none"])
def test_a_planted_bug_is_caught(machine: Machine, bug: str) -> None:
    for seed in range(SEEDS_FOR_A_BUG):
        with BUGS[bug]() as fields:
            try:
                World(seed, machine, **fields).run()
            except Broken as error:
                assert f"replay: python tests/simulation/replay.py {seed}" in str(error)
                return
    pytest.fail(f"{SEEDS_FOR_A_BUG} seeds did not catch {bug}")
