"""Ours and the second reader over the same bytes, each telling what it makes of them in the same words."""

import io
import json
import subprocess
import sys
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

import second_reader

from seamwalk.book.excerpt import is_excerpt, verify_excerpt
from seamwalk.book.seal import read_seal
from seamwalk.book.verify import verify_export
from seamwalk.errors import BookError, VerifyError

# "ok" and how often each flag occurs, or the code of the refusal
Said = tuple[str, dict[str, int]]
FORMAT = Path(__file__).parents[2] / "server" / "seamwalk" / "book" / "FORMAT.md"


@lru_cache(maxsize=1)
def published() -> second_reader.Published:
    """What the command prints for whoever writes a reader."""
    document, schemas = (printed("schema", what) for what in ("format", "entries"))
    return second_reader.Published(document, json.loads(schemas))


def printed(*arguments: str) -> str:
    """What `seamwalk` prints."""
    command = [sys.executable, "-m", "seamwalk", *arguments]
    return subprocess.run(command, capture_output=True, check=True, encoding="utf-8").stdout


def ours(data: bytes, trusted: str | None = None, seals: Sequence[str] = ()) -> Said:
    """What our reader says."""
    try:
        lines = io.BytesIO(data).readlines()
        if lines and is_excerpt(lines[0]):
            verify_excerpt(data, trusted)
            return "ok", {}
        return "ok", verify_export(lines, trusted, [read_seal(text) for text in seals]).counts
    except (VerifyError, BookError) as error:
        return error.code, {}


def theirs(data: bytes, trusted: str | None = None, seals: Sequence[str] = ()) -> Said:
    """What the second reader says."""
    try:
        return "ok", second_reader.read(data, published(), trusted, seals)
    except second_reader.Refusal as refusal:
        return refusal.code, {}


def both(data: bytes, trusted: str | None = None, seals: Sequence[str] = ()) -> Said:
    """What both say, which must be the same."""
    said = ours(data, trusted, seals)
    other = theirs(data, trusted, seals)
    assert said == other, f"ours says {said}, the second reader {other}"
    return said
