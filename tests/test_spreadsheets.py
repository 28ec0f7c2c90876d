"""Tables go out and come back the same, and no cell of them is a formula."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from seamwalk.errors import TableError
from seamwalk.spreadsheets import escaped, read_table, write_csv, write_xlsx

CELL = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1, max_size=12)
CELLS = CELL.filter(lambda text: not text.startswith("'") and not text.startswith("\ufeff"))
TABLES = st.lists(
    st.lists(CELLS | st.sampled_from(["=1+1", "+49 30", "-5", "@sum"]), min_size=3, max_size=3), min_size=1
)


@given(TABLES)
def test_csv_comes_back_as_it_went_out(table: list[list[str]]) -> None:
    text = write_csv(table)
    assert not [cell for row in csv.reader(io.StringIO(text)) for cell in row if cell[0] in "=+-@"]
    assert read_table(text.encode(), "list.csv") == table


@settings(max_examples=25)
@given(TABLES)
def test_xlsx_comes_back_as_it_went_out(table: list[list[str]]) -> None:
    data = write_xlsx(table)
    sheet = load_workbook(io.BytesIO(data)).worksheets[0]
    assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}
    assert read_table(data, "list.xlsx") == table


def test_what_offices_save_is_read() -> None:
    assert read_table("code;kind\r\n;Höhe\r\n".encode("cp1252"), "") == [["code", "kind"], ["", "Höhe"]]
    assert read_table("\ufeffcode\tkind\n1\t2\n".encode(), "") == [["code", "kind"], ["1", "2"]]
    assert read_table(b'a,"b\nc"\n', "") == [["a", "b\nc"]]
    book = Workbook()
    book.worksheets[0].append(["kind", "serial"])
    book.worksheets[0].append(["tile", 4711.0])
    book.worksheets[0].append([None, None])
    out = io.BytesIO()
    book.save(out)
    assert read_table(out.getvalue(), "") == [["kind", "serial"], ["tile", "4711"]]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"PK\x03\x04 nothing", "is no XLSX"),
        (",".join("a" * 101).encode(), "101 columns where 100 are the most"),
        (b'a,b\n"' + b"x" * 140_000, "is no CSV"),
    ],
)
def test_what_is_no_table_is_refused(data: bytes, said: str) -> None:
    with pytest.raises(TableError, match=said):
        read_table(data, "list")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_starts_of_formulas_are_escaped(start: str) -> None:
    """Source: OWASP, CSV injection: = + - @ tab and carriage return (from memory)."""
    assert escaped(f"{start}1") == f"'{start}1"
    assert escaped("a=1") == "a=1"
