"""Bugs planted on purpose: each must be caught, or the simulation proves nothing."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any
from unittest.mock import patch

from sim_server import Crash, Server

from seamwalk.book.entry import Entry
from seamwalk.book.judgement import Held, Judgement
from seamwalk.book.trust import Trust
from seamwalk.domain.findings import findings
from seamwalk.store.ledger import intake
from seamwalk.store.ledger.texts import Text, Texts
from seamwalk.store.projections import projections
from seamwalk.store.sync.exchange import SyncInput, SyncResult

Planted = Callable[[], AbstractContextManager[dict[str, Any]]]


@contextmanager
def none() -> Iterator[dict[str, Any]]:
    yield {}


@contextmanager
def no_dedupe() -> Iterator[dict[str, Any]]:
    """The server does not look whether it has an entry already."""
    with patch.object(intake._Intake, "_look_up", lambda *_: None):
        yield {}


@contextmanager
def id_by_whole_text() -> Iterator[dict[str, Any]]:
    """The server finds an entry by its whole text: the same entry under another signature is a new one."""

    def over(texts: Texts, entry: Entry) -> Text | None:
        here = texts._at.get((entry.device, entry.n), ())
        return next((text for text in here if text.jws == entry.jws), None)

    with patch.object(Texts, "over", over):
        yield {}


@contextmanager
def acknowledge_before_commit() -> Iterator[dict[str, Any]]:
    """The server answers before what it says is durable."""
    whole = Server.exchange

    def hasty(self: Server, request: SyncInput, device: str | None, crash_after: int | None) -> SyncResult:
        kept: list[Any] = []
        take = intake._Intake.take

        def noting(batch: Any, texts: Any) -> Any:
            kept[:] = take(batch, texts)
            return kept

        with patch.object(intake._Intake, "take", noting):
            try:
                return whole(self, request, device, crash_after)
            except Crash:
                if not kept:
                    raise
                return SyncResult("sign_in", kept)

    with patch.object(Server, "exchange", hasty):
        yield {}


@contextmanager
def last_writer_wins() -> Iterator[dict[str, Any]]:
    """The last finding that came in is the state."""

    def last(fold: findings.Fold, check: str) -> findings.CheckState:
        live = [act for act in fold.acts_at(check) if fold.is_live(act)]
        if not live:
            return findings.CheckState()
        return findings.CheckState(findings.rank(live[-1], check), (live[-1].id,))

    with patch.object(findings.Fold, "state", last):
        yield {}


@contextmanager
def ok_answers_unseen() -> Iterator[dict[str, Any]]:
    """An ok for a check answers every fault there, seen or not."""
    with patch.object(findings, "_answers", lambda ok, act, _: act.kind != "ok" and len(ok.checks) == 1):
        yield {}


@contextmanager
def rests_undisturbed() -> Iterator[dict[str, Any]]:
    """A fault opens nothing again on the server."""
    with patch.object(projections, "named_checks", lambda body: (body["checks"], [])):
        yield {}


@contextmanager
def held_double_n() -> Iterator[dict[str, Any]]:
    """The server holds an entry whose number is taken."""
    keep = intake._Intake._keep

    def holding(batch: Any, entry: Any) -> Any:
        if batch._kept.has_number(entry):
            return batch._hold(entry, Judgement(held=Held.ROLE))
        return keep(batch, entry)

    with patch.object(intake._Intake, "_keep", holding):
        yield {}


@contextmanager
def latest_arrival_holds() -> Iterator[dict[str, Any]]:
    """Of what the office said of a phone the server goes by what came in last, not by what was said last."""
    with patch.object(Trust, "_is_outdated", lambda *_: False):
        yield {}


@contextmanager
def answers_looked_up_late() -> Iterator[dict[str, Any]]:
    """The phone answers what stands when the tap is written, not what was drawn."""
    yield {"late_answers": True}


BUGS: dict[str, Planted] = {
    bug.__name__: bug
    for bug in (
        none,
        no_dedupe,
        id_by_whole_text,
        acknowledge_before_commit,
        last_writer_wins,
        ok_answers_unseen,
        rests_undisturbed,
        held_double_n,
        latest_arrival_holds,
        answers_looked_up_late,
    )
}
