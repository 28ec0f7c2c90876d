"""Tables out of the office: CSV, XLSX, JSON, and PDF where one is printed.

JSON is for programs: as entries say it. The others are opened by people: times at the company's clock,
whose zone the column's name gives, in a form that spreadsheets read as times; places in words.
"""

import json
from collections.abc import Collection, Sequence
from datetime import datetime

from flask import Response, abort

from seamwalk.printing.moments import local_clock
from seamwalk.printing.table_pdf import stream_table
from seamwalk.spreadsheets import XLSX_TYPE, as_text, write_csv, write_xlsx
from seamwalk.texts import showable
from seamwalk.web.office.context import stands
from seamwalk.web.services import services

Cell = str | datetime


def download(
    rows: Sequence[Sequence[str]],
    fmt: str,
    name: str,
    title: str = "",
    *,
    times: Collection[str] = (),
    places: Collection[str] = (),
) -> Response:
    """Rows, their header first, as a file; 404 for a format that is none.

    `times` names the columns that hold moments of entries, `places` those that say where a thing stands.
    """
    rows = [[showable(cell) for cell in row] for row in rows]
    if fmt == "csv":
        answer = Response(write_csv(_for_people(rows, times, places)), mimetype="text/csv")
    elif fmt == "xlsx":
        answer = Response(write_xlsx(_for_people(rows, times, places)), mimetype=XLSX_TYPE)
    elif fmt == "json":
        header, *rest = rows
        records = [dict(zip(header, row, strict=True)) for row in rest]
        answer = Response(json.dumps(records, ensure_ascii=False, indent=1), mimetype="application/json")
    elif fmt == "pdf":
        shown = [[as_text(cell) for cell in row] for row in _for_people(rows, times, places)]
        answer = Response(stream_table(shown, title), mimetype="application/pdf")
    else:
        abort(404)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.{fmt}"'
    return answer


def _for_people(
    rows: Sequence[Sequence[str]], times: Collection[str], places: Collection[str]
) -> list[list[Cell]]:
    header, *rest = rows
    says = [_clock if name in times else stands if name in places else _as_it_is for name in header]
    zone = services().settings.time_zone
    names: list[Cell] = [f"{name} ({zone})" if name in times else name for name in header]
    return [names, *([say(cell) for say, cell in zip(says, row, strict=True)] for row in rest)]


def _as_it_is(cell: str) -> Cell:
    return cell


def _clock(at: str) -> Cell:
    return local_clock(at, services().settings.time_zone) or at
