"""Entries as the domain's acts."""

from seamwalk.book.entry import Entry
from seamwalk.domain.findings.findings import Act


def references(entry: Entry) -> tuple[str, ...]:
    """The references that mean an entry."""
    return (entry.id, entry.other_id)


def act_of(entry: Entry, author: str) -> Act | None:
    """An entry as an act; None when it changes no check."""
    body = entry.body
    if entry.type == "found":
        answers = frozenset(body.get("answers") or ())
        fields = (body.get("weight"), answers, None, entry.other_id)
        return Act(entry.id, author, body["result"], tuple(body["checks"]), *fields)
    if entry.type == "swapped":
        return Act(entry.id, author, "reopened", tuple(sorted(set(body["reopens"]))), other=entry.other_id)
    if entry.type == "withdrawn":
        return Act(entry.id, author, "withdrawn", target=body["entry"], other=entry.other_id)
    return None
