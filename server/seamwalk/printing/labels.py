"""Labels on paper: a QR symbol, what it is in one large word, its code, and which way is up."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from seamwalk.domain.stock.codes import KIND_OF_LETTER, Code
from seamwalk.errors import LabelError
from seamwalk.printing.label_grid import LabelGrid
from seamwalk.printing.pdf import Page, stream_pdf, widest_mm
from seamwalk.printing.qr import QUIET_MODULES, qr_symbol
from seamwalk.texts import translator

# the damage a symbol must survive, by kind (ISO/IEC 18004 levels): cases are kicked, electronics sit inside
LEVEL_OF_KIND = {"case": "H", "tile": "Q", "place": "Q", "part": "M", "module": "M", "electronics_unit": "M"}
# GS1 General Specifications, least module of a QR for retail, from memory; phones read about as small
MIN_MODULE_MM = 0.396
# a phone reads a symbol from about ten times its width: common practice, no source
SCAN_DISTANCE = 10
_INSET_MM = 1.2
_WIDER_THAN_HIGH = 1.25
# line -> its share of the height, its font
_LINES = {"up": (0.13, "plain"), "kind": (0.32, "bold"), "code": (0.23, "code"), "owner": (0.16, "plain")}
_LINES |= {"reads": (0.13, "plain")}


@dataclass(frozen=True)
class Label:
    """What goes on one label; `detail` is a tile type or what else there is to say, or ""."""

    code: Code
    detail: str = ""


@dataclass(frozen=True)
class Wording:
    """The words of a label in a language; `reads` has a place for `{cm}`."""

    kinds: Mapping[str, str]
    up: str
    reads: str
    company: str = ""


def label_wording(company: str, language: str = "en") -> Wording:
    """The words of the catalogue."""
    t = translator("label", language)
    return Wording(
        {kind: t(f"kinds.{kind}") for kind in KIND_OF_LETTER.values()},
        t("up"),
        t("reads", cm="{cm}"),
        company,
    )


def label_address(code: Code, public_url: str) -> str:
    """What a label's QR holds: the code's address in capitals, which QR stores in less room."""
    return f"{public_url}/L/{code.text}".upper()


def stream_labels(
    labels: Iterable[Label], grid: LabelGrid, wording: Wording, public_url: str
) -> Iterator[bytes]:
    """Write labels as PDF in true size, a chunk a page; raise LabelError when a symbol would be too small."""
    return stream_pdf(_pages(labels, grid, wording, public_url), grid.page_width_mm, grid.page_height_mm)


def check_grid(grid: LabelGrid, code: Code, wording: Wording, public_url: str) -> float:
    """Try a label out before thousands are registered; return from how many mm it reads."""
    return _draw(Page(), Label(code), (0.0, 0.0), grid, wording, public_url)


def _pages(labels: Iterable[Label], grid: LabelGrid, wording: Wording, public_url: str) -> Iterator[Page]:
    page, number = Page(), 0
    for label, (on, x, y) in zip(labels, grid.places(), strict=False):
        if on != number:
            yield page
            page, number = Page(), on
        _draw(page, label, (x, y), grid, wording, public_url)
    yield page


def _draw(
    page: Page, label: Label, at: tuple[float, float], grid: LabelGrid, wording: Wording, public_url: str
) -> float:
    """Draw a label; return from how many mm it reads."""
    symbol = qr_symbol(label_address(label.code, public_url), LEVEL_OF_KIND[label.code.kind])
    width, height = grid.label_width_mm - 2 * _INSET_MM, grid.label_height_mm - 2 * _INSET_MM
    beside = width >= _WIDER_THAN_HIGH * height
    side = min(height, width * 0.55) if beside else min(width, height * 0.62)
    module = side / symbol.side
    _refuse_small(module, grid)
    x, y = at[0] + _INSET_MM, at[1] + _INSET_MM
    page.fill(symbol.pdf_path, x, y + height - side, module)
    distance_mm = SCAN_DISTANCE * (symbol.side - 2 * QUIET_MODULES) * module
    words = {
        "up": wording.up,
        "kind": wording.kinds[label.code.kind].upper(),
        "code": label.code.grouped,
        "owner": " · ".join(part for part in (label.detail, wording.company) if part),
        "reads": wording.reads.format(cm=round(distance_mm / 10)),
    }
    if beside:
        _write(page, words, x + side, y, width - side, height)
    else:
        _write(page, words, x, y, width, height - side)
    return distance_mm


def _refuse_small(module_mm: float, grid: LabelGrid) -> None:
    if module_mm < MIN_MODULE_MM:
        size = f"{grid.label_width_mm:.1f} x {grid.label_height_mm:.1f} mm"
        message = f"label: {size} leaves {module_mm:.2f} mm a module where {MIN_MODULE_MM:g} are needed"
        remedy = f"Use labels {MIN_MODULE_MM / module_mm:.1f} times as large, or a shorter public address."
        raise LabelError(message, remedy)


def _write(page: Page, words: Mapping[str, str], x: float, y: float, width: float, height: float) -> None:
    """Write the lines from the top down, each as large as its share of the room lets it be."""
    top = y + height
    for line, (share, font) in _LINES.items():
        text, room = words[line], share * height
        top -= room
        indent = room * 0.8 if line == "up" else 0.0
        if text:
            size = min(room * 0.85, room * 0.85 * (width - indent) / widest_mm(text, room * 0.85, font))
            page.text(text, x + indent, top + room * 0.2, size, font)
        if line == "up":
            page.fill("0 0 m 1 0 l 0.5 1 l h", x, top + room * 0.15, room * 0.65)
