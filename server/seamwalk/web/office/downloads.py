"""Tables out of the office: CSV, XLSX, JSON, and PDF where one is printed."""

import json
from collections.abc import Sequence

from flask import Response, abort

from seamwalk.printing.table_pdf import stream_table
from seamwalk.spreadsheets import XLSX_TYPE, write_csv, write_xlsx
from seamwalk.texts import showable


def download(rows: Sequence[Sequence[str]], fmt: str, name: str, title: str = "") -> Response:
    """Rows, their header first, as a file; 404 for a format that is none."""
    rows = [[showable(cell) for cell in row] for row in rows]
    if fmt == "csv":
        answer = Response(write_csv(rows), mimetype="text/csv")
    elif fmt == "xlsx":
        answer = Response(write_xlsx(rows), mimetype=XLSX_TYPE)
    elif fmt == "json":
        header, *rest = rows
        records = [dict(zip(header, row, strict=True)) for row in rest]
        answer = Response(json.dumps(records, ensure_ascii=False, indent=1), mimetype="application/json")
    elif fmt == "pdf":
        answer = Response(stream_table(rows, title), mimetype="application/pdf")
    else:
        abort(404)
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}.{fmt}"'
    return answer
