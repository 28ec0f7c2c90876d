"""The table of OWASP ASVS 5.0: every requirement stands there once, and what a row says is there, is."""

import ast
import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

ROOT = Path(__file__).parents[2]
TABLE: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "asvs.yaml").read_text("utf-8"))
FIELDS = {
    "tested": {"tests"},
    "documented": {"where"},
    "not_applicable": {"reason"},
    "deferred": {"reason", "where"},
    "not_met": {"reason"},
}
# section: last numbers of its requirements of level 1 | of level 2; the rest are of level 3. Source:
# OWASP/ASVS, 5.0/docs_en/OWASP_Application_Security_Verification_Standard_5.0.0_en.csv at commit 5cf9b03
# (CC BY-SA 4.0)
STANDARD = """
V1.1: | 1 2
V1.2: 1 2 3 4 5 | 6 7 8 9
V1.3: 1 2 | 3 4 5 6 7 8 9 10 11
V1.4: | 1 2 3
V1.5: 1 | 2
V2.1: 1 | 2 3
V2.2: 1 2 | 3
V2.3: 1 | 2 3 4
V2.4: | 1
V3.2: 1 2 |
V3.3: 1 | 2 3 4
V3.4: 1 2 | 3 4 5 6
V3.5: 1 2 3 | 4 5
V3.7: | 1 2
V4.1: 1 | 2 3
V4.2: | 1
V4.3: | 1 2
V4.4: 1 | 2 3 4
V5.1: | 1
V5.2: 1 2 | 3
V5.3: 1 2 |
V5.4: | 1 2 3
V6.1: 1 | 2 3
V6.2: 1 2 3 4 5 6 7 8 | 9 10 11 12
V6.3: 1 2 | 3 4
V6.4: 1 2 | 3 4
V6.5: | 1 2 3 4 5
V6.6: | 1 2 3
V6.8: | 1 2 3 4
V7.1: | 1 2 3
V7.2: 1 2 3 4 |
V7.3: | 1 2
V7.4: 1 2 | 3 4 5
V7.5: | 1 2
V7.6: | 1 2
V8.1: 1 | 2
V8.2: 1 2 | 3
V8.3: 1 |
V8.4: | 1
V9.1: 1 2 3 |
V9.2: 1 | 2 3 4
V10.1: | 1 2
V10.2: | 1 2
V10.3: | 1 2 3 4
V10.4: 1 2 3 4 5 | 6 7 8 9 10 11
V10.5: | 1 2 3 4 5
V10.6: | 1 2
V10.7: | 1 2 3
V11.1: | 1 2
V11.2: | 1 2 3
V11.3: 1 2 | 3
V11.4: 1 | 2 3 4
V11.5: | 1
V11.6: | 1
V12.1: 1 | 2 3
V12.2: 1 2 |
V12.3: | 1 2 3 4
V13.1: | 1
V13.2: | 1 2 3 4 5
V13.3: | 1 2
V13.4: 1 | 2 3 4 5
V14.1: | 1 2
V14.2: 1 | 2 3 4
V14.3: 1 | 2 3
V15.1: 1 | 2 3
V15.2: 1 | 2 3
V15.3: 1 | 2 3 4 5 6 7
V16.1: | 1
V16.2: | 1 2 3 4 5
V16.3: | 1 2 3 4
V16.4: | 1 2 3
V16.5: | 1 2 3
V17.1: | 1
V17.2: | 1 2 3 4
V17.3: | 1 2
"""


def required() -> list[tuple[str, int]]:
    found = []
    for line in STANDARD.split("\n")[1:-1]:
        section, _, numbers = line.partition(":")
        for level, last in enumerate(numbers.split("|"), start=1):
            found += [(f"{section}.{number}", level) for number in last.split()]
    return found


@cache
def functions(path: Path) -> frozenset[str]:
    tree = ast.parse(path.read_text("utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef))


def named(row: dict[str, Any]) -> list[str]:
    """The tests that a row names, also in what it says."""
    said = f"{row.get('reason', '')} {row.get('note', '')}"
    return [*row.get("tests", ()), *re.findall(r"tests/[\w/.]+::\w+", said)]


def test_every_requirement_of_levels_1_and_2_stands_there_once() -> None:
    rows = [(row["id"], row["level"]) for row in TABLE]
    assert len(required()) == 70 + 183
    assert sorted(rows) == sorted(required())
    assert len({row["asks"] for row in TABLE}) >= len(TABLE) - 2


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["id"])
def test_a_row_says_what_its_status_needs(row: dict[str, Any]) -> None:
    assert {"id", "level", "asks", "status"} | FIELDS[row["status"]] == row.keys() - {"note"}
    assert all(row[name] for name in FIELDS[row["status"]])
    assert len(row.get("reason", "No reason is needed.")) > 10


@pytest.mark.parametrize("row", [row for row in TABLE if named(row)], ids=lambda row: row["id"])
def test_the_tests_that_are_named_are_there(row: dict[str, Any]) -> None:
    for name in named(row):
        path, _, function = name.partition("::")
        assert function.startswith("test_"), name
        assert function in functions(ROOT / path), name


def test_the_places_that_are_named_are_there() -> None:
    for row in TABLE:
        if "where" in row:
            file, _, heading = row["where"].partition(": ")
            headings = re.findall(r"^#+ (.+)$", (ROOT / file).read_text("utf-8"), re.MULTILINE)
            assert heading in headings, row["id"]


def test_the_counts_are_told(capsys: pytest.CaptureFixture[str]) -> None:
    counts = Counter(row["status"] for row in TABLE)
    assert counts.keys() == FIELDS.keys()
    assert counts.total() == len(required())
    told = ", ".join(f"{counts[status]} {status.replace('_', ' ')}" for status in FIELDS)
    with capsys.disabled():
        print(f"\nASVS 5.0 L2: {told}")
