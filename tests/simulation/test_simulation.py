"""Nights on which everything goes wrong, and eight bugs that must not pass."""

import os
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
import sim_replica
from sim_bugs import BUGS
from sim_run import CRASHED, LOST, REBUILT, RESTORED, RESTORED_FROM_ONE, STOPPED, Broken
from sim_server import Machine
from sim_steps import CALLS, STEPS
from sim_world import World

from volume import TURN, drawn

NIGHTS_OF_A_PART, PARTS = 40, 2
# what every part meets, and what is too rare for that: the nights that met it are played every day
COMMON = {*STEPS, *CALLS, CRASHED, RESTORED, REBUILT}
RARE = {94: {STOPPED, RESTORED_FROM_ONE}, 108: {LOST}}
SEEDS_FOR_A_BUG = 300
# where bugs were caught (all seeds below 48 or 130 were tried), but for those that most nights catch
CAUGHT = {
    "ok_answers_unseen": (5, 11, 15),
    "held_double_n": (6, 11, 14),
    "answers_looked_up_late": (9, 42, 74),
    "acknowledge_before_commit": (19, 22, 27),
    "latest_arrival_holds": (53, 59, 79),
}
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


@pytest.mark.parametrize("part", range(TURN * PARTS, TURN * PARTS + drawn(PARTS)))
def test_nothing_is_lost_doubled_or_hidden(machine: Machine, replica: Path, part: int) -> None:
    first = part * NIGHTS_OF_A_PART
    met = play(machine, replica, range(first, first + NIGHTS_OF_A_PART))
    assert met >= COMMON


def test_what_is_rare_is_met_every_day(machine: Machine, replica: Path) -> None:
    assert play(machine, replica, RARE) >= set().union(*RARE.values())


def play(machine: Machine, replica: Path, nights: Iterable[int]) -> set[str]:
    """Play nights, add their books up as the phone does, and tell what was met."""
    books, met = [], set[str]()
    for seed in nights:
        world = World(seed, machine)
        books.append(world.run())
        met |= world.met
    for book, found in zip(books, sim_replica.states(replica, books), strict=True):
        assert found == book["states"], f"seed {book['seed']}: the phone's fold tells it differently"
    return met


@pytest.mark.parametrize("bug", [name for name in BUGS if name != "none"])
def test_a_planted_bug_is_caught(machine: Machine, bug: str) -> None:
    """The nights that caught it once are tried first; when the code has changed, others must."""
    for seed in dict.fromkeys([*CAUGHT.get(bug, ()), *range(SEEDS_FOR_A_BUG)]):
        with BUGS[bug]() as fields:
            try:
                World(seed, machine, **fields).run()
            except Broken as error:
                assert f"replay: python tests/simulation/replay.py {seed}" in str(error)
                return
    pytest.fail(f"{SEEDS_FOR_A_BUG} seeds did not catch {bug}")
