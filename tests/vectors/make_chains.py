"""Make `chains.json`: devices' entries with their `n` and `prev`, and the flags that must follow."""

import json
from pathlib import Path
from typing import Any

# an entry with its prev: `a2` is entry 2 of device a by the id of its kept text, `a2'` by the id of its other
# form, `a2b` a second entry of that number
CASES: list[tuple[str, list[tuple[str, str | None]], dict[str, list[str]], dict[str, list[list[int]]]]] = [
    ("no entries", [], {}, {}),
    ("one entry", [("a1", None)], {}, {}),
    ("a whole chain", [("a1", None), ("a2", "a1"), ("a3", "a2")], {}, {}),
    ("a chain that names the other forms", [("a1", None), ("a2", "a1'"), ("a3", "a2'")], {}, {}),
    ("a chain that came backwards", [("a3", "a2"), ("a2", "a1'"), ("a1", None)], {}, {}),
    ("two devices, mixed", [("a1", None), ("b1", None), ("b2", "b1"), ("a2", "a1")], {}, {}),
    ("one is missing in between", [("a1", None), ("a3", "a2")], {"a3": ["prev_unknown"]}, {"a": [[2, 2]]}),
    ("the first ones are missing", [("a4", "a3"), ("a5", "a4")], {"a4": ["prev_unknown"]}, {"a": [[1, 3]]}),
    (
        "two gaps",
        [("a2", "a1"), ("a4", "a3"), ("a9", "a8'")],
        {"a2": ["prev_unknown"], "a4": ["prev_unknown"], "a9": ["prev_unknown"]},
        {"a": [[1, 1], [3, 3], [5, 8]]},
    ),
    ("a late arrival closes a gap", [("a1", None), ("a3", "a2'"), ("a2", "a1")], {}, {}),
    (
        "a gap that prev leaps over",
        [("a1", None), ("a3", "a1")],
        {"a3": ["prev_other"]},
        {"a": [[2, 2]]},
    ),
    (
        "the largest number there is",
        [("a1", None), ("a9007199254740991", "a1")],
        {"a9007199254740991": ["prev_other"]},
        {"a": [[2, 9007199254740990]]},
    ),
    ("prev is missing", [("a1", None), ("a2", None)], {"a2": ["prev_missing"]}, {}),
    ("a first entry with a prev", [("a1", "b1"), ("b1", None)], {"a1": ["prev_missing"]}, {}),
    ("a first entry that names nothing here", [("a1", "c7")], {"a1": ["prev_missing"]}, {}),
    ("prev names itself by its other form", [("a1", None), ("a2", "a2'")], {"a2": ["prev_other"]}, {}),
    (
        "prev names another device's entry",
        [("a1", None), ("b1", None), ("a2", "b1")],
        {"a2": ["prev_other"]},
        {},
    ),
    ("prev names one too old", [("a1", None), ("a2", "a1"), ("a3", "a1'")], {"a3": ["prev_other"]}, {}),
    (
        "prev names one that comes after",
        [("a1", None), ("a2", "a3"), ("a3", "a2")],
        {"a2": ["prev_other"]},
        {},
    ),
    (
        "prev names nothing here though nothing is missing",
        [("a1", None), ("a2", "c9"), ("a3", "a2")],
        {"a2": ["prev_unknown"]},
        {},
    ),
    (
        "a fork",
        [("a1", None), ("a2", "a1"), ("a2b", "a1")],
        {"a2": ["fork"], "a2b": ["fork"]},
        {},
    ),
    (
        "a fork whose both ends go on: each names one of that number",
        [("a1", None), ("a2", "a1"), ("a2b", "a1'"), ("a3", "a2'"), ("a3b", "a2b")],
        {"a2": ["fork"], "a2b": ["fork"], "a3": ["fork"], "a3b": ["fork"]},
        {},
    ),
    (
        "three of one number, the first",
        [("a1", None), ("a1b", None), ("a1c", "a1"), ("a2", "a1c'")],
        {"a1": ["fork"], "a1b": ["fork"], "a1c": ["fork", "prev_missing"]},
        {},
    ),
    (
        "one device's fork and gap are not another's",
        [("a1", None), ("a1b", None), ("b2", "b1"), ("c1", None)],
        {"a1": ["fork"], "a1b": ["fork"], "b2": ["prev_unknown"]},
        {"b": [[1, 1]]},
    ),
]
DESCRIPTION = (
    "What a device's entries say of each other: `flags` by entry, sorted, and `gaps` by device as first and "
    "last missing number; run by Python and TypeScript. `entries` are all signing inputs of a book that are "
    "kept, each once, in their order of arrival; `id` and `other` are the two ids of each. Made by "
    "make_chains.py."
)


def entry(name: str, prev: str | None) -> dict[str, Any]:
    """One entry of a case; its ids are legible names."""
    n = int(name[1:].rstrip("bc"))
    return {"id": name, "other": f"{name}'", "device": name[0], "n": n, "prev": prev}


def main() -> None:
    """Write the file, a case a line."""
    lines = []
    for description, entries, flags, gaps in CASES:
        case = {"description": description, "entries": [entry(*told) for told in entries]}
        lines.append(json.dumps(case | {"flags": flags, "gaps": gaps}))
    top = json.dumps({"description": DESCRIPTION})[:-1]
    Path(__file__).with_name("chains.json").write_text(top + ', "cases": [\n' + ",\n".join(lines) + "\n]}\n")


if __name__ == "__main__":
    main()
