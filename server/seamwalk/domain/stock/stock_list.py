"""A list of stock as rows of a table: which column says what, what is wrong in which row, what follows."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from seamwalk.domain.stock.codes import KIND_OF_LETTER, parse_code
from seamwalk.errors import CodeError, Problem

FIELDS = ("code", "kind", "tile_type", "home_case", "batch", "maker_serial")
MAX_ROWS = 50_000
_LONGEST = {"tile_type": 40, "batch": 60, "maker_serial": 60}
_ALSO = {
    "code": ("label", "id", "our code"),
    "kind": ("what", "type of item", "category"),
    "tile_type": ("tile type", "tile", "model", "type"),
    "home_case": ("home case", "case"),
    "batch": ("colour batch", "color batch", "bin", "lot"),
    "maker_serial": ("maker's serial", "serial", "serial number", "s/n"),
}
_TYPE_CHARACTERS = frozenset("abcdefghijklmnopqrstuvwxyz0123456789_")


@dataclass(frozen=True)
class StockRow:
    """One thing of a list; `code` is "" for one that gets a new label, `number` the list's row from 1."""

    number: int
    code: str
    kind: str
    tile_type: str | None
    home_case: str | None
    batch: str | None
    maker_serial: str | None


@dataclass(frozen=True)
class Known:
    """What is registered: kind and tile type by code, and the company's prefix."""

    items: Mapping[str, tuple[str, str | None]]
    prefix: str


@dataclass(frozen=True)
class Reading:
    """What a list says, and what is wrong with it; nothing of it is applied while anything is wrong."""

    rows: tuple[StockRow, ...]
    problems: tuple[Problem, ...]


def guess_columns(header: Sequence[str]) -> dict[str, int]:
    """The column of each field whose name, or a usual one for it, stands in the header."""
    names = [_plain(name) for name in header]
    found: dict[str, int] = {}
    for field in FIELDS:
        for wanted in (_plain(field), *map(_plain, _ALSO[field])):
            if field not in found and wanted in names and names.index(wanted) not in found.values():
                found[field] = names.index(wanted)
    return found


def read_stock(table: Sequence[Sequence[str]], columns: Mapping[str, int], known: Known) -> Reading:
    """Read the rows below a table's header."""
    if len(table) - 1 > MAX_ROWS:
        message = f"{len(table) - 1} rows where {MAX_ROWS} are the most"
        return Reading((), (Problem("list", message, "Cut it into several lists."),))
    if "kind" not in columns:
        return Reading((), (Problem("kind", "has no column", "Say which column tells a case from a tile."),))
    rows: list[StockRow] = []
    problems: list[Problem] = []
    for number, cells in enumerate(table[1:], start=1):
        if not any(cell.strip() for cell in cells):
            continue
        row = _row(number, cells, columns)
        found = list(_problems(row, known))
        problems += found
        if not found:
            rows.append(row)
    problems += _duplicates(rows)
    problems += _unknown_homes(rows, known)
    return Reading(tuple(rows), tuple(problems))


def _plain(name: str) -> str:
    return "".join(character for character in name.lower() if character.isalnum())


def _row(number: int, cells: Sequence[str], columns: Mapping[str, int]) -> StockRow:
    def cell(field: str) -> str:
        at = columns.get(field)
        return cells[at].strip() if at is not None and at < len(cells) else ""

    kinds = {_plain(kind): kind for kind in KIND_OF_LETTER.values()}
    kind = kinds.get(_plain(cell("kind")), cell("kind"))
    code, home_case = _code(cell("code")), _code(cell("home_case"))
    rest = (cell(field) or None for field in ("tile_type", "batch", "maker_serial"))
    tile_type, batch, serial = rest
    return StockRow(number, code, kind, tile_type, home_case or None, batch, serial)


def _code(text: str) -> str:
    """A code as we write it, or the text itself where it is none."""
    try:
        return parse_code(text).text if text else ""
    except CodeError:
        return text


def _problems(row: StockRow, known: Known) -> Iterator[Problem]:
    where = f"row {row.number}"
    if row.kind not in KIND_OF_LETTER.values():
        yield Problem(
            f"{where}, kind", f"{row.kind!r} is none", f"Write one of: {', '.join(KIND_OF_LETTER.values())}."
        )
        return
    yield from _code_problems(where, row, known)
    if row.tile_type and not set(row.tile_type) <= _TYPE_CHARACTERS:
        message = f"{row.tile_type!r} is not a tile type key"
        yield Problem(f"{where}, tile_type", message, "Write a-z, 0-9 and _, as in `heron_500`.")
    for field, most in _LONGEST.items():
        if len(getattr(row, field) or "") > most:
            yield Problem(f"{where}, {field}", f"is longer than {most} characters", "Shorten it.")


def _code_problems(where: str, row: StockRow, known: Known) -> Iterator[Problem]:
    if not row.code:
        return
    try:
        code = parse_code(row.code)
    except CodeError as error:
        yield Problem(f"{where}, code", error.message.removeprefix("code: "), error.remedy)
        return
    if code.kind != row.kind:
        yield Problem(f"{where}, code", f"{code.grouped} is a {code.kind}'s", f"Write its kind, {code.kind}.")
    if code.prefix != known.prefix:
        message = f"{code.grouped} is not of this company, whose codes begin with {known.prefix}"
        yield Problem(f"{where}, code", message, "Leave the code empty: it gets a label of ours.")
    there = known.items.get(row.code)
    if there is not None and row.tile_type not in (None, there[1]):
        message = f"{code.grouped} is registered as {there[1]}"
        yield Problem(f"{where}, tile_type", message, "A thing keeps its type: look at its label again.")


def _duplicates(rows: Iterable[StockRow]) -> Iterator[Problem]:
    seen: dict[str, int] = {}
    for row in rows:
        if row.code in seen:
            message = f"{row.code} stands in row {seen[row.code]} already"
            yield Problem(f"row {row.number}, code", message, "Take one of the two out.")
        elif row.code:
            seen[row.code] = row.number


def _unknown_homes(rows: Sequence[StockRow], known: Known) -> Iterator[Problem]:
    cases = {code for code, (kind, _) in known.items.items() if kind == "case"}
    cases |= {row.code for row in rows if row.kind == "case"}
    for row in rows:
        if row.home_case is not None and row.home_case not in cases:
            message = f"{row.home_case} is not a registered case, nor in this list"
            yield Problem(
                f"row {row.number}, home_case", message, "Register the case first, or list it here."
            )
