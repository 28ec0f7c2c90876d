"""Makers of what a stranger may send: entries, heads and files that no phone or office program writes."""

import io
import json
import zipfile
from base64 import urlsafe_b64encode
from typing import Any

from openpyxl import Workbook

from helpers import NOW
from seamwalk.book.entry import ENTRY_TYP, format_at
from seamwalk.book.jose import PrivateKey

LONE = "\ud800"
DEEP = b"[" * 20_000 + b"]" * 20_000
DEEP_OBJECT = b'{"a":' * 8_000 + b"1" + b"}" * 8_000


def payload(book: str, **changes: Any) -> dict[str, Any]:
    """The payload of an entry that holds together, but for what is changed in it."""
    good = {"type": "withdrawn", "v": 1, "book": book, "n": 1, "prev": None, "at": format_at(NOW)}
    return {**good, "body": {"entry": "0" * 64}, **changes}


def signed(key: PrivateKey, told: Any, typ: str = ENTRY_TYP) -> str:
    """Sign anything at all; bytes go in as they are."""
    return key.sign(typ, told if isinstance(told, bytes) else json.dumps(told).encode(), with_jwk=True)


def unsigned(header: Any, told: Any) -> str:
    """A compact JWS whose signature is none."""
    return ".".join(_encoded(part) for part in (header, told, b"\1" * 64))


def _encoded(part: Any) -> str:
    data = part if isinstance(part, bytes) else json.dumps(part).encode()
    return urlsafe_b64encode(data).rstrip(b"=").decode()


def workbook(code: str = "utf-8", **parts: str) -> bytes:
    """A small stock list as XLSX, some of its parts replaced: `xl__workbook_xml` is `xl/workbook.xml`."""
    made, out = Workbook(), io.BytesIO()
    made.worksheets[0].append(["code", "kind"])
    made.worksheets[0].append(["", "tile"])
    made.save(out)
    changed = {name.replace("__", "/").replace("_", "."): text.encode(code) for name, text in parts.items()}
    again = io.BytesIO()
    with zipfile.ZipFile(out) as old, zipfile.ZipFile(again, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, changed.get(name, old.read(name)))
    return again.getvalue()


def sheet(rows: str) -> bytes:
    """A workbook whose one sheet has these rows, as XML."""
    space = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    data = f'<dimension ref="A1:XFD1048576"/><sheetData>{rows}</sheetData>'
    text = f'<worksheet xmlns="{space}">{data}</worksheet>'
    return workbook(xl__worksheets__sheet1_xml=text)


ENTITIES = """<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "kind"><!ENTITY b "&a;&a;&a;&a;">]>
<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>
<row><c t="inlineStr"><is><t>&b;</t></is></c></row></sheetData></worksheet>"""
