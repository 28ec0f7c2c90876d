"""Entries as the domain's acts."""

from collections.abc import Mapping
from typing import Any

from seamwalk.book.entry import Entry
from seamwalk.domain.findings.findings import Act


def references(entry: Entry) -> tuple[str, ...]:
    """The references that mean an entry."""
    return (entry.id, entry.other_id)


def named_checks(body: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """All checks that a finding names, and those of them that it only opens again."""
    own = set(body["checks"])
    reopens = [check for check in body.get("reopens") or () if check not in own]
    return [*body["checks"], *reopens], reopens


def act_of(entry: Entry, author: str) -> Act | None:
    """An entry as an act; None when it changes no check."""
    body = entry.body
    if entry.type == "found":
        answers = frozenset(body.get("answers") or ())
        checks, reopens = named_checks(body)
        fields = (body.get("weight"), answers, None, entry.other_id, frozenset(reopens), None)
        early = frozenset((body.get("ahead") or {}).get("missing") or ())
        return Act(entry.id, author, body["result"], tuple(checks), *fields, early, entry.at)
    if entry.type == "stop_released":
        answers = frozenset({body["fault"]})
        duty, other = body["duty"], entry.other_id
        return Act(entry.id, author, "released", (body["check"],), answers=answers, other=other, duty=duty)
    if entry.type == "swapped":
        return Act(entry.id, author, "reopened", tuple(sorted(set(body["reopens"]))), other=entry.other_id)
    if entry.type == "withdrawn":
        return Act(entry.id, author, "withdrawn", target=body["entry"], other=entry.other_id)
    return None
