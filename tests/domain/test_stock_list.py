"""What a list of stock says, and what is wrong in which row."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwalk.domain.stock.codes import Code
from seamwalk.domain.stock.stock_list import FIELDS, Known, Reading, guess_columns, read_stock

CASE, TILE, OTHER = (Code("HQ", "C", 1).text, Code("HQ", "T", 1).text, Code("QD", "T", 1).grouped)
KNOWN = Known({CASE: ("case", None), TILE: ("tile", "plover_500")}, "HQ")
HEADER = list(FIELDS)


def read(*rows: list[str]) -> Reading:
    return read_stock([HEADER, *rows], guess_columns(HEADER), KNOWN)


def test_columns_are_found_by_usual_names() -> None:
    header = ["Serial number", "What", "Tile type", "Case", "Our code", "Lot", "Remarks"]
    expected = {"maker_serial": 0, "kind": 1, "tile_type": 2, "home_case": 3, "code": 4, "batch": 5}
    assert guess_columns(header) == expected
    assert guess_columns(["a", "b"]) == {}


@given(st.permutations(FIELDS))
def test_our_own_names_are_found_in_any_order(header: list[str]) -> None:
    assert guess_columns(header) == {field: header.index(field) for field in FIELDS}


def test_rows_are_read_with_codes_as_we_write_them() -> None:
    reading = read(["hq-t-00001-" + TILE[-1].lower(), "Tile", "plover_500", CASE, "A", "4711"], ["", "case"])
    assert reading.problems == ()
    tile, case = reading.rows
    assert (tile.code, tile.home_case, tile.batch, tile.maker_serial) == (TILE, CASE, "A", "4711")
    assert (case.number, case.code, case.kind, case.tile_type) == (2, "", "case", None)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (["", "lamp"], "row 1, kind: 'lamp' is none"),
        ([TILE, "case"], "row 1, code: HQ-T-00001-"),
        (["HQT000010", "tile"], "row 1, code: HQ-T-00001-0 is not a label code"),
        ([OTHER, "tile"], "is not of this company, whose codes begin with HQ"),
        ([TILE, "tile", "heron"], "is registered as plover_500"),
        (["", "tile", "Heron 500"], "'Heron 500' is not a tile type key"),
        (["", "tile", "", "HQC000077"], "row 1, home_case: HQC000077 is not a registered case"),
        (["", "tile", "", "", "x" * 61], "row 1, batch: is longer than 60"),
    ],
)
def test_what_is_wrong_is_said_by_row_and_field(row: list[str], said: str) -> None:
    reading = read(row)
    assert [said in str(problem) for problem in reading.problems] == [True]


def test_a_code_twice_and_a_list_without_kinds_are_refused() -> None:
    code = Code("HQ", "T", 9).text
    assert f"row 2, code: {code} stands in row 1 already" in str(
        read([code, "tile"], [code, "tile"]).problems[0]
    )
    assert "kind: has no column" in str(read_stock([["a"], ["b"]], {}, KNOWN).problems[0])
    assert read([], ["", "", ""]).rows == ()
    many = [["", "tile"]] * 50_001
    assert "50001 rows" in str(read(*many).problems[0])


def test_a_case_of_the_same_list_is_a_home() -> None:
    new = Code("HQ", "C", 5).text
    assert read(["", "tile", "", new], [new, "case"]).problems == ()
