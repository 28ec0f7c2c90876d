"""What must hold, told without looking at `answers`: from what people saw on their screens at a tap."""

from collections.abc import Iterable, Mapping

from sim_phone import act_of, inputs_by_id

from seamwalk.book.entry import Entry
from seamwalk.domain.findings.findings import Fold, Rank

# ok -> check -> what was on the screen when it was tapped; each entry by its signing input
Saw = Mapping[str, Mapping[str, frozenset[str]]]


def expected_rank(check: str, entries: Iterable[Entry], person_of: Mapping[str, str], saw: Saw) -> Rank:
    """The state of a check as a person would tell it who was told everything."""
    known = list(entries)
    inputs = inputs_by_id(known)
    taken_back = {
        (inputs.get(entry.body["entry"]), person_of[entry.device])
        for entry in known
        if entry.type == "withdrawn"
    }
    live = [entry for entry in known if (entry.input, person_of.get(entry.device)) not in taken_back]
    here = [entry for entry in live if check in _checks(entry)]
    oks = [entry for entry in here if entry.body.get("result") == "ok"]
    worst = Rank.OK if oks else Rank.OPEN
    for entry in here:
        if entry.type == "swapped":
            if not any(entry.input in saw[ok.input][check] for ok in oks):
                worst = max(worst, Rank.REOPENED)
        elif entry.body["result"] == "not_reached":
            worst = max(worst, Rank.NOT_REACHED)
        elif check in entry.body.get("reopens", ()):
            if not any(entry.input in saw[ok.input][check] for ok in oks):
                worst = max(worst, Rank.REOPENED)
        elif entry.body["result"] == "fault":
            closed = any(entry.input in saw[ok.input][check] for ok in oks if ok.body["checks"] == [check])
            if not closed:
                worst = max(worst, Rank[entry.body["weight"].upper()])
    return worst


def _checks(entry: Entry) -> list[str]:
    checks: list[str] = [*entry.body.get("checks", ()), *entry.body.get("reopens", ())]
    return checks if entry.type in ("found", "swapped") else []


def fold_of(entries: Iterable[Entry], person_of: Mapping[str, str]) -> Fold:
    """Everything added up, in the order given."""
    acts = (act_of(entry, person_of.get(entry.device, entry.device)) for entry in entries)
    return Fold(act for act in acts if act is not None)
