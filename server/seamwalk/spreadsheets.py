"""Tables from and to CSV and XLSX: rows of text, with whatever a spreadsheet takes for a formula escaped.

What comes in is bounded before it is read, so that no file occupies the server for more than some seconds.
"""

import csv
import io
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.reader.excel import ExcelReader
from openpyxl.worksheet._read_only import ReadOnlyWorksheet
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from seamwalk.book.json_text import is_clean
from seamwalk.errors import Problem, TableError

XLSX_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MAX_COLUMNS = 100
MAX_ROWS = 50_001
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
_MAX_CELLS = 1_000_000
_MAX_CHARACTERS = 4_000_000
# of a workbook, all its parts together: 50,000 rows of six cells have 950,000 elements
_MAX_PARTS = 500
_MAX_BYTES = 30_000_000
_MAX_ELEMENTS = 1_000_000
_MAX_ATTRIBUTES = 2_000_000
_UTF_16 = (b"\xff\xfe", b"\xfe\xff", b"<\0", b"\0<")
_CUT = "Cut it into several lists."
_AGAIN = "Save it as CSV or XLSX again."
Table = list[list[str]]


def read_table(data: bytes, name: str) -> Table:
    """Read a CSV or XLSX file's first sheet as text; raise TableError when it is neither, or too large."""
    rows = map(_trimmed, _bounded(_xlsx_rows(data))) if data[:2] == b"PK" else _bounded(_csv_rows(data))
    table = [[_unescaped(cell) for cell in row] for row in rows if row]
    if not table:
        raise _wrong(name or "file", "is empty", "Save the list with its header row.")
    if len(table[0]) > MAX_COLUMNS:
        message = f"has {len(table[0])} columns where {MAX_COLUMNS} are the most"
        raise _wrong(name or "file", message, "Take the columns out that are not needed.")
    return [row + [""] * (len(table[0]) - len(row)) for row in table]


def _bounded(rows: Iterable[Sequence[str]]) -> Iterator[list[str]]:
    """Rows, empty ones too, as long as they are not too many; cells that a spreadsheet only pads cost too."""
    cells = characters = 0
    for number, row in enumerate(rows, start=1):
        cells += len(row)
        if number > MAX_ROWS or cells > _MAX_CELLS:
            raise _wrong("list", f"has over {MAX_ROWS} rows or {_MAX_CELLS} cells", _CUT)
        text = "".join(row)
        characters += len(text)
        if characters > _MAX_CHARACTERS:
            raise _wrong("list", f"has over {_MAX_CHARACTERS} characters", _CUT)
        if not is_clean(text):
            raise _wrong(f"row {number}", "holds a NUL", _AGAIN)
        yield list(row)


def _wrong(where: str, what: str, remedy: str) -> TableError:
    return TableError((Problem(where, what, remedy),))


def as_text(cell: str | datetime) -> str:
    """A cell as text: a time as every spreadsheet reads one, `2026-11-27 14:05`."""
    return cell if isinstance(cell, str) else f"{cell:%Y-%m-%d %H:%M}"


def write_csv(rows: Iterable[Sequence[str | datetime]]) -> str:
    """Write rows as CSV (RFC 4180), formulas escaped."""
    out = io.StringIO()
    csv.writer(out).writerows([escaped(as_text(cell)) for cell in row] for row in rows)
    return out.getvalue()


def write_xlsx(rows: Iterable[Sequence[str | datetime]]) -> bytes:
    """Write rows as a workbook whose cells are text, or times to the minute."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in rows:
        sheet.append([escaped(cell) if isinstance(cell, str) else _time(sheet, cell) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _time(sheet: WriteOnlyWorksheet, moment: datetime) -> WriteOnlyCell:
    cell = WriteOnlyCell(sheet, moment)
    cell.number_format = "yyyy-mm-dd hh:mm"
    return cell


def escaped(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{cell}" if cell.startswith(_FORMULA_STARTS) else cell


def _unescaped(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(_FORMULA_STARTS) else cell


def _csv_rows(data: bytes) -> Iterator[list[str]]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        yield from rows
    except csv.Error as error:
        raise _wrong(f"row {rows.line_num}", f"is no CSV: {error}", _AGAIN) from error


class _FirstSheet(ExcelReader):  # type: ignore[misc]
    """Opens the first sheet of a workbook alone: each sheet named costs a reading, even of the same part."""

    def read_worksheets(self) -> None:
        for sheet, rel in self.parser.find_sheets():
            if rel.target in self.valid_files and "chartsheet" not in rel.Type:
                self.wb._sheets.append(
                    ReadOnlyWorksheet(self.wb, sheet.name, rel.target, self.shared_strings)
                )
                return


def _xlsx_rows(data: bytes) -> Iterator[list[str]]:
    """Rows of the first sheet, as wide as the sheet says."""
    try:
        _check_parts(data)
        reader = _FirstSheet(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        reader.read()
        sheet = reader.wb.worksheets[0]
        sheet.reset_dimensions()
        for row in sheet.iter_rows(values_only=True):
            yield ["" if cell is None else _as_text(cell) for cell in row]
    except (TableError, GeneratorExit):
        raise
    except Exception as error:  # what is no workbook fails in as many ways as there are libraries below
        raise _wrong("file", f"is no XLSX: {error}", _AGAIN) from error


def _check_parts(data: bytes) -> None:
    """Raise TableError for a workbook that would be too long to read, or that declares entities."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = archive.infolist()
        if len(parts) > _MAX_PARTS or sum(part.file_size for part in parts) > _MAX_BYTES:
            raise _wrong("file", "is too large once unpacked", f"{_CUT} Or save it as CSV.")
        elements = attributes = 0
        for part in parts:
            text = archive.read(part)
            if text.startswith(_UTF_16) or b"<!DOCTYPE" in text or b"<!ENTITY" in text:
                raise _wrong("file", "is written as no office program does", _AGAIN)
            elements += text.count(b"<") - text.count(b"</")
            attributes += text.count(b"=")
        if elements > _MAX_ELEMENTS or attributes > _MAX_ATTRIBUTES:
            raise _wrong(
                "file", f"has {elements} elements, more than can be read", f"{_CUT} Or save it as CSV."
            )


def _trimmed(row: list[str]) -> list[str]:
    """A row without the empty cells at its end."""
    while row and not row[-1]:
        row.pop()
    return row


def _as_text(cell: object) -> str:
    if isinstance(cell, datetime):
        return as_text(cell)
    return f"{cell:.0f}" if isinstance(cell, float) and cell.is_integer() else str(cell)
