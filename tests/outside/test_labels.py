"""Printed symbols against the standard's capacities, and read back from the paper by two decoders."""

from collections.abc import Iterator

import cv2
import numpy as np
import pypdfium2
import pytest
import segno
import zxingcpp

from seamwalk.book.seal import Seal, read_seal
from seamwalk.domain.stock.codes import Code
from seamwalk.printing.label_grid import LabelGrid
from seamwalk.printing.labels import (
    SCAN_DISTANCE,
    Label,
    check_grid,
    label_address,
    label_wording,
    stream_labels,
)
from seamwalk.printing.qr import QUIET_MODULES, Symbol, qr_symbol

URL = "https://walls.example.test"
WORDING = label_wording("Test Company")
ROLL = LabelGrid(60, 35)
# a symbol with its quiet zone takes 55 % of the width inside 1.2 mm
SIDE_MM = (60 - 2 * 1.2) * 0.55
MM_PER_INCH = 25.4
# a plain office printer and the usual label printers
DPI = 203
# Source: ISO/IEC 18004 table 7, recomputed with qrcodegen 1.8.0 and segno 1.6.6: level -> alphanumeric
# capacity of versions 1 to 5.
ALPHANUMERIC = {
    "L": (25, 47, 77, 114, 154),
    "M": (20, 38, 61, 90, 122),
    "Q": (16, 29, 47, 67, 87),
    "H": (10, 20, 35, 50, 64),
}
# Source: ISO/IEC 18004, error correction levels: about this share of the codewords can be wrong.
RECOVERY = {"L": 0.07, "M": 0.15, "Q": 0.25, "H": 0.30}


def version(symbol: Symbol) -> int:
    """Source: ISO/IEC 18004, a symbol's side is 17 + 4 x version modules."""
    return (symbol.side - 2 * QUIET_MODULES - 17) // 4


@pytest.mark.parametrize("level", ALPHANUMERIC)
def test_the_smallest_symbol_is_chosen(level: str) -> None:
    for number, capacity in enumerate(ALPHANUMERIC[level], start=1):
        assert version(qr_symbol("A" * capacity, level)) == number
        assert version(qr_symbol("A" * (capacity + 1), level)) == number + 1


@pytest.mark.parametrize("level", "LMQH")
def test_symbols_are_as_large_as_a_reference_library_makes_them(level: str) -> None:
    """Source: segno."""
    text = label_address(Code("HQ", "T", 42), URL)
    expected = segno.make(text, error=level, boost_error=False, micro=False)
    assert version(qr_symbol(text, level)) == expected.version
    assert expected.mode == "alphanumeric"


def paper(code: Code, grid: LabelGrid = ROLL, dpi: int = DPI) -> np.ndarray:
    """One label as it comes out of a printer."""
    pdf = b"".join(stream_labels([Label(code, "plover_500")], grid, WORDING, URL))
    page = pypdfium2.PdfDocument(pdf)[0]
    return np.array(page.render(scale=dpi / 72, grayscale=True).to_numpy())


def by_zxing(image: np.ndarray) -> str:
    found = zxingcpp.read_barcodes(image)
    return found[0].text if found else ""


def by_opencv(image: np.ndarray) -> str:
    return str(cv2.QRCodeDetector().detectAndDecode(image)[0])


def seen_badly(image: np.ndarray) -> Iterator[np.ndarray]:
    """Blurred, turned, seen from the side, and with little contrast."""
    large = cv2.copyMakeBorder(image, 40, 40, 40, 40, cv2.BORDER_CONSTANT, value=255)
    height, width = large.shape
    yield cv2.GaussianBlur(large, (5, 5), 0)
    turn = cv2.getRotationMatrix2D((width / 2, height / 2), 17, 1)
    yield cv2.warpAffine(large, turn, (width, height), borderValue=255)
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    tilted = np.array([[0, 0], [width, height * 0.12], [width, height * 0.88], [0, height]], np.float32)
    side = cv2.getPerspectiveTransform(corners, tilted)
    yield cv2.warpPerspective(large, side, (width, height), borderValue=255)
    yield (large * 0.25 + 60).astype(np.uint8)


@pytest.mark.parametrize("letter", "CTMEPQ")
def test_a_printed_label_reads_by_two_decoders_also_when_it_is_seen_badly(letter: str) -> None:
    code = Code("HQ", letter, 42)
    image = paper(code)
    address = label_address(code, URL)
    assert by_zxing(image) == by_opencv(image) == address
    for seen in seen_badly(image):
        assert by_zxing(seen) == address


def codeword_modules(side: int, alignment: int) -> list[list[tuple[int, int]]]:
    """The modules (column, row) of each codeword of a version 2 to 6 symbol, in the standard's order.

    Source: ISO/IEC 18004, 7.7.3: two columns at a time from the right, upwards first, without column 6.
    """
    taken = np.zeros((side, side), bool)
    taken[:9, :9] = taken[:9, -8:] = taken[-8:, :9] = True
    taken[6, :] = taken[:, 6] = True
    taken[alignment - 2 : alignment + 3, alignment - 2 : alignment + 3] = True
    way: list[tuple[int, int]] = []
    rights = [*range(side - 1, 6, -2), 5, 3, 1]
    for turn, right in enumerate(rights):
        rows = range(side - 1, -1, -1) if turn % 2 == 0 else range(side)
        way += [(column, row) for row in rows for column in (right, right - 1) if not taken[row, column]]
    return [way[start : start + 8] for start in range(0, len(way) - 7, 8)]


@pytest.mark.parametrize("level", RECOVERY)
@pytest.mark.parametrize("seed", range(4))
def test_damage_that_the_level_promises_to_survive(level: str, seed: int) -> None:
    """The level's share of all codewords is wholly wrong; version 2 is one block at every level."""
    text = label_address(Code("HQ", "T", 42), URL)[: ALPHANUMERIC[level][1]]
    symbol = qr_symbol(text, level)
    assert version(symbol) == 2
    image = drawn(symbol, 1)
    codewords = codeword_modules(25, 18)
    assert len(codewords) == 44
    wrong = int(RECOVERY[level] * len(codewords))
    for number in np.random.default_rng(seed).choice(len(codewords), wrong, replace=False):
        for column, row in codewords[number]:
            image[row + QUIET_MODULES, column + QUIET_MODULES] ^= 255
    large = cv2.resize(image, None, fx=8, fy=8, interpolation=cv2.INTER_NEAREST)
    assert by_zxing(large) == text


def drawn(symbol: Symbol, scale: int) -> np.ndarray:
    """The symbol's runs as an image, dark on white."""
    image = np.full((symbol.side, symbol.side), 255, np.uint8)
    for x, y, run in symbol.runs:
        image[y, x : x + run] = 0
    return cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_NEAREST)


def test_a_scratch_over_a_case_label_does_no_harm() -> None:
    image = paper(Code("HQ", "C", 42), dpi=300)
    height, width = image.shape
    cv2.line(image, (0, height // 3), (width, height // 2), 255, 6)
    cv2.circle(image, (height // 2, height // 2), height // 18, 90, -1)
    assert by_zxing(image) == label_address(Code("HQ", "C", 42), URL)


def test_the_quiet_zone_on_paper_is_four_modules_of_white() -> None:
    """Source: ISO/IEC 18004, quiet zone of 4 modules."""
    symbol = qr_symbol(label_address(Code("HQ", "T", 42), URL), "Q")
    image = paper(Code("HQ", "T", 42), dpi=600)
    dark = image < 128
    side_mm = SIDE_MM
    module = side_mm / symbol.side * 600 / MM_PER_INCH
    left, top = 1.2 * 600 / MM_PER_INCH, 1.2 * 600 / MM_PER_INCH
    inside = dark[:, : round(left + side_mm * 600 / MM_PER_INCH)]
    rows, columns = np.where(inside)
    assert columns.min() == pytest.approx(left + 4 * module, abs=1.5)
    assert rows.min() == pytest.approx(top + 4 * module, abs=1.5)
    right = round(left + (symbol.side - 4) * module) + 2
    assert not dark[:, right : round(right + 3.5 * module)].any()


def test_pages_are_of_true_size_and_labels_lie_in_their_grid() -> None:
    grid = LabelGrid(210, 297, 3, 8, 7, 8, 2, 0, start=23)
    labels = [Label(Code("HQ", "T", serial)) for serial in (1, 2, 3)]
    document = pypdfium2.PdfDocument(b"".join(stream_labels(labels, grid, WORDING, URL)))
    assert len(document) == grid.pages(3) == 2
    assert document[0].get_size() == pytest.approx((210 * 72 / 25.4, 297 * 72 / 25.4), abs=0.01)
    for page, columns in ((document[0], [1, 2]), (document[1], [0])):
        image = page.render(scale=DPI / 72, grayscale=True).to_numpy()
        found = sorted(int(b.position.top_left.x) for b in zxingcpp.read_barcodes(image.copy()))
        expected = [(7 + column * (grid.label_width_mm + 2)) * DPI / MM_PER_INCH for column in columns]
        for x, left in zip(found, expected, strict=True):
            assert left < x < left + 12 * DPI / MM_PER_INCH


def test_from_ten_times_its_width_a_symbol_reads() -> None:
    """Source: common practice, no source."""
    mm = check_grid(ROLL, Code("HQ", "T", 42), WORDING, URL)
    symbol = qr_symbol(label_address(Code("HQ", "T", 42), URL), "Q")
    width_mm = SIDE_MM * (symbol.side - 2 * QUIET_MODULES) / symbol.side
    assert mm == pytest.approx(SCAN_DISTANCE * width_mm)


def test_pages_go_out_while_they_are_drawn_and_are_small() -> None:
    drawn_so_far = []

    def labels() -> Iterator[Label]:
        for serial in range(1, 97):
            drawn_so_far.append(serial)
            yield Label(Code("HQ", "T", serial), "plover_500")

    chunks = stream_labels(labels(), LabelGrid(210, 297, 3, 8, 7, 8), WORDING, URL)
    for _ in range(5):  # header and fonts, then the first page
        first = next(chunks)
    assert b"/Type/Page/Parent" in first
    assert len(drawn_so_far) <= 25
    rest = b"".join(chunks)
    assert len(first + rest) < 96 * 1500


def test_the_seal_of_a_print_is_alphanumeric_and_reads_back() -> None:
    seal = Seal("b0123456789abcdef", 202611251530, 200_000, "0123456789abcdef" * 4, "fedcba9876543210" * 4)
    symbol = qr_symbol(seal.text)
    # Source: ISO/IEC 18004 table 7, recomputed with qrcodegen 1.8.0 and segno 1.6.6: at M version 6 holds 154
    # alphanumeric characters, version 7 178; as bytes 177 of them would need version 9 (8 holds 152, 9 180).
    assert 154 < len(seal.text) <= 178
    assert version(symbol) == 7
    assert read_seal(by_opencv(drawn(symbol, 6))) == seal
