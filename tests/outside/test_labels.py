"""Printed symbols against the standard's capacities, and read back by an independent decoder."""

import re

import cv2
import numpy as np
import pytest

from seamwalk.book.seal import Seal, read_seal
from seamwalk.domain.codes import Code
from seamwalk.printing.labels import LABELS_PER_SHEET, label_address, sheets
from seamwalk.printing.qr import QUIET_MODULES, Symbol, qr_svg

# Source: ISO/IEC 18004 table 7, recomputed with segno 1.6.6: version -> alphanumeric capacity at M, at Q.
ALPHANUMERIC = {1: (20, 16), 2: (38, 29), 3: (61, 47), 4: (90, 67), 5: (122, 87)}


def version(symbol: Symbol) -> int:
    """Source: ISO/IEC 18004, a symbol's side is 17 + 4 x version modules."""
    return (symbol.side - 2 * QUIET_MODULES - 17) // 4


@pytest.mark.parametrize("robust", [False, True])
def test_the_smallest_symbol_is_chosen(robust: bool) -> None:
    for number, capacities in ALPHANUMERIC.items():
        capacity = capacities[robust]
        assert version(qr_svg("A" * capacity, robust=robust)) == number
        assert version(qr_svg("A" * (capacity + 1), robust=robust)) == number + 1


def drawn(symbol: Symbol, scale: int) -> np.ndarray:
    """The symbol's path as an image, dark on white."""
    image = np.full((symbol.side, symbol.side), 255, np.uint8)
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", symbol.path):
        image[int(y), int(x) : int(x) + int(run)] = 0
    return cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_NEAREST)


def test_a_label_reads_back_also_blurred_turned_and_dim() -> None:
    code = Code("HQ", "T", 42)
    address = label_address(code, "https://walls.example.test")
    (sheet,) = sheets([code], "https://walls.example.test")
    image = drawn(sheet[0].symbol, 8)
    turned = cv2.rotate(image, cv2.ROTATE_90_CLOCKWISE)
    dim = (image * 0.25 + 30).astype(np.uint8)
    for seen in (image, cv2.GaussianBlur(image, (7, 7), 0), turned, dim):
        assert cv2.QRCodeDetector().detectAndDecode(seen)[0] == address


def test_the_quiet_zone_is_four_modules_of_white() -> None:
    """Source: ISO/IEC 18004, quiet zone of 4 modules."""
    image = drawn(qr_svg("HTTPS://X/L/HQT000421"), 1)
    quiet = np.ones_like(image, bool)
    quiet[4:-4, 4:-4] = False
    assert (image[quiet] == 255).all()
    assert image[4, 4] == 0


def test_a_long_batch_goes_on_more_sheets() -> None:
    codes = [Code("HQ", "C", serial) for serial in range(1, LABELS_PER_SHEET + 2)]
    assert [len(sheet) for sheet in sheets(codes, "http://x")] == [LABELS_PER_SHEET, 1]


def test_the_seal_of_a_print_is_alphanumeric_and_reads_back() -> None:
    seal = Seal("b0123456789abcdef", 202611251530, 200_000, "0123456789abcdef" * 4, "fedcba9876543210" * 4)
    symbol = qr_svg(seal.text)
    # Source: ISO/IEC 18004 table 7, recomputed with qrcodegen 1.8.0 and segno 1.6.6: at M version 6 holds 154
    # alphanumeric characters, version 7 178; as bytes 177 of them would need version 9 (8 holds 152, 9 180).
    assert 154 < len(seal.text) <= 178
    assert version(symbol) == 7
    assert read_seal(cv2.QRCodeDetector().detectAndDecode(drawn(symbol, 6))[0]) == seal
