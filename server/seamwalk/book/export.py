"""The export file: one canonical JSON object a line, so that anybody can write a reader.

`{"blobs":M,"book":"b...","epoch":E,"seamwalk_export":2,"size":N}`, then N lines `{"entry":"<jws>"}` in index
order, or `{"leaf":"<hex>"}` for one that the file's maker may not read, one line `{"head":"<jws>"}`, then M
lines `{"blob":"<sha256>","data":"<base64url>"}` sorted by name, none that no entry names.
UTF-8, LF after every line; canonical means sorted keys and no spaces. Version 1, which may hold blobs that no
entry names and has no bare leaves, is read forever.
"""

import json
from collections.abc import Iterable, Iterator
from typing import Any

from seamwalk.book.jose import base64url_encode

FORMAT_VERSION = 2
READ_VERSIONS = (1, 2)


def line(value: dict[str, Any]) -> str:
    """One line of an export, with its line feed."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False) + "\n"


def export_lines(
    *,
    book: str,
    epoch: int,
    entries: Iterable[str],
    size: int,
    head: str,
    blobs: Iterable[tuple[str, bytes]],
    blob_count: int,
) -> Iterator[str]:
    """Write an export line by line; entries in index order, blobs sorted by name, all of them named."""
    yield line(
        {"blobs": blob_count, "book": book, "epoch": epoch, "seamwalk_export": FORMAT_VERSION, "size": size}
    )
    for entry in entries:
        yield line({"entry": entry})
    yield line({"head": head})
    for name, data in blobs:
        yield line({"blob": name, "data": base64url_encode(data)})
