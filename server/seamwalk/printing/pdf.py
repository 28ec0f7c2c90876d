"""PDF page by page (ISO 32000-1), so that thousands of pages go out while they are drawn.

Only what label sheets need: paths, text in the standard fonts (WinAnsi), compressed page contents.
"""

import zlib
from collections.abc import Iterable, Iterator

from seamwalk.errors import LabelError

PT_PER_MM = 72 / 25.4
_FONTS = {"bold": "Helvetica-Bold", "plain": "Helvetica", "code": "Courier-Bold"}
# widths in em that no character of these fonts exceeds: the widest few, capitals, all others; Courier's own
_WIDEST, _CAPITAL, _OTHER, _FIXED = 0.98, 0.78, 0.62, 0.6
_HEADER = b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n"
_CATALOG, _PAGES, _FIRST_FREE = 1, 2, 3


class Page:
    """One page's contents, in mm from its lower left corner."""

    def __init__(self) -> None:
        self._parts = [f"{PT_PER_MM:.5f} 0 0 {PT_PER_MM:.5f} 0 0 cm"]

    def fill(self, path: str, x_mm: float, y_mm: float, unit_mm: float) -> None:
        """Fill a path of `re`, `m` and `l` operators, its units as large as given, its origin at x, y."""
        self._parts.append(f"q {unit_mm:.4f} 0 0 {unit_mm:.4f} {x_mm:.3f} {y_mm:.3f} cm {path} f Q")

    def text(self, text: str, x_mm: float, y_mm: float, size_mm: float, font: str) -> None:
        """Write a line with its base line at y; the font is bold, plain or code."""
        try:
            shown = text.encode("cp1252").decode("latin-1")
        except UnicodeEncodeError as error:
            message = f"text: {text[error.start]!r} is not in the fonts of every printer"
            raise LabelError(message, "Write it in Latin letters.") from error
        for special in "\\()":
            shown = shown.replace(special, f"\\{special}")
        self._parts.append(f"BT /{font} {size_mm:.3f} Tf {x_mm:.3f} {y_mm:.3f} Td ({shown}) Tj ET")

    def contents(self) -> bytes:
        """The page's compressed contents."""
        return zlib.compress("\n".join(self._parts).encode("latin-1"), 9)


def widest_mm(text: str, size_mm: float, font: str) -> float:
    """A width that the text does not exceed."""
    if font == "code":
        return len(text) * size_mm * _FIXED
    return size_mm * sum(_WIDEST if c in "MWmw%@" else _CAPITAL if c.isupper() else _OTHER for c in text)


def stream_pdf(pages: Iterable[Page], width_mm: float, height_mm: float) -> Iterator[bytes]:
    """Write a PDF, one chunk a page; the pages are drawn as they are asked for."""
    places: dict[int, int] = {}
    position = 0
    kids: list[int] = []

    def written(number: int, body: bytes) -> bytes:
        nonlocal position
        places[number] = position
        chunk = b"%d 0 obj\n%s\nendobj\n" % (number, body)
        position += len(chunk)
        return chunk

    position = len(_HEADER)
    yield _HEADER
    fonts = ""
    number = _FIRST_FREE
    for name, base in _FONTS.items():
        font = f"<</Type/Font/Subtype/Type1/BaseFont/{base}/Encoding/WinAnsiEncoding>>"
        yield written(number, font.encode())
        fonts += f"/{name} {number} 0 R"
        number += 1
    box = f"[0 0 {width_mm * PT_PER_MM:.3f} {height_mm * PT_PER_MM:.3f}]"
    for page in pages:
        contents = page.contents()
        stream = b"<</Length %d/Filter/FlateDecode>>stream\n%s\nendstream" % (len(contents), contents)
        dictionary = f"<</Type/Page/Parent {_PAGES} 0 R/Contents {number} 0 R>>"
        yield written(number, stream) + written(number + 1, dictionary.encode())
        kids.append(number + 1)
        number += 2
    listed = " ".join(f"{kid} 0 R" for kid in kids)
    resources = f"/MediaBox{box}/Resources<</Font<<{fonts}>>>>"
    yield written(_PAGES, f"<</Type/Pages/Count {len(kids)}/Kids[{listed}]{resources}>>".encode())
    yield written(_CATALOG, f"<</Type/Catalog/Pages {_PAGES} 0 R>>".encode())
    table = "".join(f"{places[n]:010d} 00000 n \n" for n in sorted(places))
    trailer = f"trailer<</Size {number}/Root {_CATALOG} 0 R>>\nstartxref\n{position}\n%%EOF\n"
    yield f"xref\n0 {number}\n0000000000 65535 f \n{table}{trailer}".encode()
