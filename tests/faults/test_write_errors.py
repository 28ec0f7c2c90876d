"""The n-th write or sync fails, once or forever, n = 1, 2, ... until none does: nothing kept is lost."""

import pytest
from memory_disk import Disk
from power import Prepared, ledger_of, prepare, send, store_on
from sqlalchemy.exc import DBAPIError

PATIENCE = 500


@pytest.fixture(scope="module")
def prepared() -> Prepared:
    return prepare()


@pytest.mark.parametrize("for_ever", [False, True], ids=["once", "forever"])
def test_a_write_that_fails_is_never_acknowledged(prepared: Prepared, for_ever: bool) -> None:
    first, second, *_ = prepared.batches()
    for number in range(PATIENCE):
        disk = Disk(prepared.image)
        disk.for_ever = for_ever
        with store_on(disk) as store:
            send(store, prepared.book, first)
            disk.fails = number
            acknowledged, failed = set(), False
            try:
                acknowledged = send(store, prepared.book, second)
            except DBAPIError:
                failed = True
            untouched = disk.fails >= 0
            disk.fails = None
        with store_on(disk) as store:
            assert acknowledged <= ledger_of(store, prepared)
            again = send(store, prepared.book, second)
            assert again == {entry.id for entry in second} <= ledger_of(store, prepared)
        if untouched:
            assert number > 3
            assert not failed
            return
    pytest.fail(f"even write {PATIENCE} fails")
