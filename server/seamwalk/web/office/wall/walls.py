"""A wall's map with the state of every joint, what stands in the way, and why."""

from typing import Any

from flask import render_template, request

from seamwalk.domain.checks.file import FrozenWalk
from seamwalk.domain.frozen import read_checks
from seamwalk.store.db import db
from seamwalk.store.findings.ahead import ahead_oks
from seamwalk.store.findings.explanations import CheckExplanation, explain_wall
from seamwalk.store.findings.pace import quick_oks
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import (
    checks_file,
    count_states,
    open_findings,
    planned_wall,
    walked_states,
    wall_states,
)
from seamwalk.store.findings.stops import stops_of
from seamwalk.store.stock.bound_tiles import bound_tiles
from seamwalk.texts import translator
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area, language, moment
from seamwalk.web.office.drawing import draw
from seamwalk.web.office.lookups import plan_of, show_book


@office.get("/shows/<name:name>/walls/<wall:wall>")
@area("shows")
def wall(name: str, wall: str) -> str:
    """A wall's map, what stands in the way, and its sign-offs."""
    session = db.session()
    book = show_book(session, name)
    plan = plan_of(session, book, wall)
    states = wall_states(session, book.id, wall)
    walked = walked_states(session, book.id, wall, states)
    frozen = checks_file(session, plan)
    ids, signed_for = [check["id"] for check in frozen["checks"]], read_checks(frozen)
    rear = request.args.get("view") == "rear"
    built = planned_wall(session, plan)
    why = {check: in_words(reason) for check, reason in explain_wall(session, book.id, wall).items()}
    return render_template(
        "office/wall.html",
        book=book,
        plan=plan,
        why=why,
        drawing=draw(built, signed_for, wall, walked, rear=rear, why=why),
        rear=rear,
        numbers=count_states([check.id(wall) for check in signed_for], walked),
        walks=[(walk["key"], _walk_counts(walk, ids, walked)) for walk in frozen["walks"]],
        faults=open_findings(session, book.id, states),
        stops=[stop for stop in stops_of(session, book.id, wall) if stop.holds],
        quick=quick_oks(session, book.id, states),
        ahead=ahead_oks(session, book.id, states),
        sign_offs=sign_offs(session, book.id, wall),
        tiles=bound_tiles(session, book.id, wall),
        warnings=built.warnings,
    )


def in_words(reason: CheckExplanation) -> str:
    """Why a check stands as it does, in a sentence."""
    words = reason.words | {"at": moment(reason.at), "other_at": moment(reason.other_at)}
    return translator("office", language())(f"reasons.{reason.key}", **words)


def _walk_counts(walk: FrozenWalk, ids: list[str], states: Any) -> dict[str, int]:
    return count_states([ids[index] for stop in walk["stops"] for index in stop["checks"]], states)
