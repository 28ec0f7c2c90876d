"""Nights on which everything goes wrong, and nine bugs that must not pass."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sim_replica
from sim_bugs import BUGS
from sim_run import CRASHED, REBUILT, RESTORED, Broken
from sim_server import Machine
from sim_steps import CALLS, STEPS
from sim_world import World

from volume import TURN, drawn

NIGHTS_OF_A_PART, PARTS = 40, 2
# what every part meets; what is rarer, as a phone that stops, is met in eight runs
COMMON = {*STEPS, *CALLS, CRASHED, RESTORED, REBUILT}
MOST_NIGHTS = 300
# the first nights that caught what few nights catch
CAUGHT = {"answers_looked_up_late": (45, 77, 80), "latest_arrival_holds": (85, 96)}
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


@pytest.mark.long
@pytest.mark.parametrize("part", range(TURN * PARTS, TURN * PARTS + drawn(PARTS)))
def test_nothing_is_lost_doubled_or_hidden(machine: Machine, replica: Path, part: int) -> None:
    """A part that did not meet all of COMMON yet goes on until it has."""
    first, met = part * NIGHTS_OF_A_PART, set[str]()
    books: list[dict[str, Any]] = []
    for seed in range(first, first + MOST_NIGHTS):
        if len(books) >= NIGHTS_OF_A_PART and met >= COMMON:
            break
        world = World(seed, machine)
        books.append(world.run())
        met |= world.met
    assert met >= COMMON
    for book, found in zip(books, sim_replica.states(replica, books), strict=True):
        assert found == book["states"], f"seed {book['seed']}: the phone's fold tells it differently"


@pytest.mark.long
@pytest.mark.parametrize("bug", [name for name in BUGS if name != "none"])
def test_a_planted_bug_is_caught(machine: Machine, bug: str) -> None:
    """The nights that caught it once are tried first; when the code has changed, others must."""
    for seed in dict.fromkeys([*CAUGHT.get(bug, ()), *range(MOST_NIGHTS)]):
        with BUGS[bug]() as fields:
            try:
                World(seed, machine, **fields).run()
            except Broken as error:
                assert f"replay: python tests/simulation/replay.py {seed}" in str(error)
                return
    pytest.fail(f"{MOST_NIGHTS} nights did not catch {bug}")
