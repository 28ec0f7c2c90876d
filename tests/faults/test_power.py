"""The power goes at a random moment: what was acknowledged is there when it is back.

The same cuts with synchronous=NORMAL must lose something, or they prove nothing.
"""

import random

import pytest
from memory_disk import Disk
from power import Prepared, ledger_of, prepare, send, store_on
from sqlalchemy.exc import DBAPIError

SEEDS = 60


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return prepare()


def lost_in_a_cut(prepared: Prepared, seed: int, synchronous: str | None) -> set[str]:
    """Write until the power goes; return what was acknowledged and is not there afterwards."""
    rng = random.Random(seed)
    disk = Disk(prepared.image)
    acknowledged: set[str] = set()
    with store_on(disk, synchronous) as store:
        disk.fails = rng.randint(0, 120)
        try:
            for batch in prepared.batches():
                acknowledged |= send(store, prepared.book, batch)
        except DBAPIError:
            pass
        after = disk.after_a_cut(rng)
        disk.fails = None  # so that the dead machine's connection closes quietly
    with store_on(after) as store:
        return acknowledged - ledger_of(store, prepared)


def test_with_our_settings_nothing_acknowledged_is_lost(prepared: Prepared) -> None:
    assert [seed for seed in range(SEEDS) if lost_in_a_cut(prepared, seed, None)] == []


def test_with_weaker_settings_something_is_lost(prepared: Prepared) -> None:
    assert [seed for seed in range(SEEDS) if lost_in_a_cut(prepared, seed, "NORMAL")] != []
