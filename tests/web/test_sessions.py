"""The session that a request reads by: it keeps no change, sees what was written, and is given back."""

from collections.abc import Callable

import pytest
from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session
from sqlalchemy.pool import QueuePool

from helpers import Site, logged_in, send
from seamwalk.config import THREADS
from seamwalk.store.db import OnlyReads, db
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.books import find_book
from seamwalk.store.tables import Book, SavedList
from seamwalk.web.services import services


def change(session: Session) -> None:
    find_book(session, "test-show").title = "Another"
    session.flush()


def add(session: Session) -> None:
    session.add(SavedList(name="mine", query={}))
    session.scalars(select(Book)).all()


def take_away(session: Session) -> None:
    session.delete(find_book(session, "test-show"))
    session.commit()


def insert_one(session: Session) -> None:
    session.execute(insert(SavedList).values(name="mine", query={}))


def delete_all(session: Session) -> None:
    session.execute(delete(Book))


def commit(session: Session) -> None:
    session.commit()


@pytest.mark.parametrize("act", [change, add, take_away, insert_one, delete_all, commit])
def test_a_request_changes_nothing_by_the_session_that_it_reads_by(
    site: Site, act: Callable[[Session], None]
) -> None:
    with site.app.app_context(), pytest.raises(OnlyReads, match=r"store\.write"):
        act(db.session())
    with site.store.read() as session:
        assert find_book(session, "test-show").title == "Test Show"
        assert session.scalars(select(SavedList)).all() == []


def test_a_handler_that_reads_writes_and_reads_sees_what_it_wrote(site: Site) -> None:
    seen = []

    @site.app.post("/twice")
    def twice() -> str:
        before = find_book(db.session(), "test-show")
        seen.append(before.title)
        with services().store.write() as session:
            find_book(session, "test-show").title = "Another"
            seen.append(find_book(db.session(), "test-show").title)
        seen.extend([before.title, find_book(db.session(), "test-show").title])
        return ""

    assert site.app.test_client().post("/twice").status_code == 200
    assert seen == ["Test Show", "Test Show", "Test Show", "Another"]


def fail(site: Site) -> None:
    with site.store.write() as session:
        find_book(session, "test-show").title = "Another"
        session.flush()
        raise RuntimeError("in the middle")


def test_a_write_that_fails_leaves_nothing_and_the_request_reads_on(site: Site) -> None:
    with site.app.app_context():
        with pytest.raises(RuntimeError, match="in the middle"):
            fail(site)
        assert find_book(db.session(), "test-show").title == "Test Show"


def pool_of(site: Site) -> QueuePool:
    pool = site.store.engine.pool
    assert isinstance(pool, QueuePool)
    return pool


def test_no_request_keeps_a_connection(site: Site) -> None:
    client, pool = logged_in(site), pool_of(site)
    with site.store.write() as session:
        keep_blob(session, site.book, b"x")
    assert pool.size() == 2 * THREADS
    for path in ("/office/", "/office/shows/test-show", "/office/shows/none", "/api/v1/health"):
        client.get(path)
        assert pool.checkedout() == 0, path
    send(client, "/office/shows/new", title="T", slug="t")
    assert pool.checkedout() == 0


def test_a_stream_goes_on_after_its_request_has_given_its_connection_back(site: Site) -> None:
    client, pool = logged_in(site), pool_of(site)
    with client.get("/office/shows/test-show/log.pdf", buffered=False) as answer:
        assert answer.is_streamed
        assert pool.checkedout() == 0
        assert answer.data.endswith(b"%%EOF\n")
