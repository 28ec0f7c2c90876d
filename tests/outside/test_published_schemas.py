"""The published schemas, read by another library, say of every body what our models say."""

import copy
import json
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from good_bodies import CODE, GOOD, HASH, KEY
from hypothesis import given, settings
from hypothesis import strategies as st
from two_readers import printed, published

from seamwalk.book.entry import Entry
from seamwalk.book.trust import Trust
from volume import drawn

Record = Callable[[str, object], None]
ODD: list[Any] = [
    None,
    True,
    False,
    0,
    1,
    -1,
    1.0,
    1.5,
    4.0,
    1e7,
    2**53 - 1,
    "",
    "x",
    "A",
    "12",
    "true",
    HASH,
    CODE,
    "ok",
]
ODD += [
    "fault",
    "done",
    "repair",
    "mended",
    "triage",
    "sound",
    "2026-02-30",
    "2024-02-29",
    "2026-11-20T24:00Z",
]
ODD += [
    "2026-11-20T22:00Z",
    "٢٠٢٦-11-20",
    "2026-11-20",
    [],
    [1],
    ["x"],
    {},
    {"a": 1},
    KEY.jwk,
    "corner",
    "prep",
    "é" * 200,
]


def ours(name: str, body: Any, rules: int) -> bool:
    """Whether our models take a body."""
    entry_type, _, version = name.partition("/")
    entry = Entry("", "", "", None, entry_type, int(version or 1), "", 1, None, "", body)
    judged = Trust("").judge_content(entry, rules)
    return judged.code != "schema"


def test_every_body_that_there_is_has_a_good_one() -> None:
    assert set(json.loads(printed("schema", "entries"))) == set(GOOD)


@pytest.mark.parametrize("rules", [1, 2])
@pytest.mark.parametrize("name", GOOD)
def test_both_take_a_good_body(name: str, rules: int) -> None:
    assert ours(name, GOOD[name], rules)
    assert published().fits(name, GOOD[name], rules)


@st.composite
def changed(draw: st.DrawFn) -> tuple[str, Any]:
    """A body with up to two of its values changed, left out, added or put twice."""
    name = draw(st.sampled_from(list(GOOD)))
    body = copy.deepcopy(GOOD[name])
    for _ in range(draw(st.integers(0, 2))):
        holder = draw(st.sampled_from(list(_holders(body))))
        _change(draw, holder)
    return name, body


def _holders(value: Any) -> Any:
    """Every object and list in a value."""
    if isinstance(value, dict | list):
        yield value
        for item in value.values() if isinstance(value, dict) else value:
            yield from _holders(item)


def _change(draw: st.DrawFn, holder: Any) -> None:
    odd = copy.deepcopy(draw(st.sampled_from(ODD)))
    places = list(holder) if isinstance(holder, dict) else list(range(len(holder)))
    place = draw(st.sampled_from(places)) if places else None
    how = draw(st.sampled_from(["put", "put", "put", "drop", "add", "more"]))
    if how == "put" and place is not None:
        holder[place] = odd
    elif how == "drop" and place is not None:
        del holder[place]
    elif how == "more" and place is not None and isinstance(holder[place], str):
        holder[place] += draw(st.sampled_from(["\n", " ", "x", "0"]))
    elif isinstance(holder, list):
        holder.extend([odd] if place is None or how == "add" else [holder[place]] * draw(st.integers(1, 120)))
    else:
        holder[draw(st.sampled_from(["note", "a\n", "lock", "reason", "in_", "weight"]))] = odd


def test_both_agree_on_changed_bodies(record_property: Record) -> None:
    seen: Counter[bool] = Counter()

    @settings(max_examples=drawn(250))
    @given(changed(), st.sampled_from([1, 2]))
    def check(told: tuple[str, Any], rules: int) -> None:
        name, body = told
        said = ours(name, body, rules)
        assert published().fits(name, body, rules) == said, (name, body)
        seen[said] += 1

    check()
    record_property("counted", f"changed bodies: {seen.total()} tried, {seen[True]} fit, both readers agree")
    assert min(seen[True], seen[False]) > drawn(13)
