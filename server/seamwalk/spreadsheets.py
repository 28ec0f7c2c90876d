"""Tables from and to CSV and XLSX: rows of text, with whatever a spreadsheet takes for a formula escaped."""

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence

from openpyxl import Workbook, load_workbook

from seamwalk.errors import Problem, TableError

XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_LARGEST_UNPACKED = 100_000_000
MOST_COLUMNS = 100
Table = list[list[str]]


def read_table(data: bytes, name: str) -> Table:
    """Read a CSV or XLSX file's first sheet as text; raise TableError when it is neither."""
    table = _read_xlsx(data) if data[:2] == b"PK" else _read_csv(data)
    if not table:
        raise TableError((Problem(name or "file", "is empty", "Save the list with its header row."),))
    if len(table[0]) > MOST_COLUMNS:
        message = f"has {len(table[0])} columns where {MOST_COLUMNS} are the most"
        raise TableError((Problem(name or "file", message, "Take the columns out that are not needed."),))
    return [row + [""] * (len(table[0]) - len(row)) for row in table]


def write_csv(rows: Iterable[Sequence[str]]) -> str:
    """Write rows as CSV (RFC 4180), formulas escaped."""
    out = io.StringIO()
    csv.writer(out).writerows([escaped(cell) for cell in row] for row in rows)
    return out.getvalue()


def write_xlsx(rows: Iterable[Sequence[str]]) -> bytes:
    """Write rows as a workbook whose cells are all text."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in rows:
        sheet.append([escaped(cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def escaped(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA_STARTS) else cell


def _unescaped(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA_STARTS) else cell


def _read_csv(data: bytes) -> Table:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        return [[_unescaped(cell) for cell in row] for row in rows if row]
    except csv.Error as error:
        problem = Problem(
            f"row {rows.line_num}", f"is no CSV: {error}", "Save the list as CSV or XLSX again."
        )
        raise TableError((problem,)) from error


def _read_xlsx(data: bytes) -> Table:
    try:
        unpacked = sum(item.file_size for item in zipfile.ZipFile(io.BytesIO(data)).infolist())
        if unpacked > _LARGEST_UNPACKED:
            raise TableError((Problem("file", "is too large once unpacked", "Save it as CSV."),))
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        return list(_filled(book.worksheets[0].iter_rows(values_only=True)))
    except (zipfile.BadZipFile, KeyError, ValueError, IndexError, OSError) as error:
        raise TableError(
            (Problem("file", f"is no XLSX: {error}", "Save it as CSV or XLSX again."),)
        ) from error


def _filled(rows: Iterable[Sequence[object]]) -> Iterator[list[str]]:
    for row in rows:
        cells = ["" if cell is None else _as_text(cell) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            yield [_unescaped(cell) for cell in cells]


def _as_text(cell: object) -> str:
    return f"{cell:.0f}" if isinstance(cell, float) and cell.is_integer() else str(cell)
