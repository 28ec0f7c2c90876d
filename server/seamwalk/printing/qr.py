"""QR symbols as paths, with the four-module quiet zone that ISO/IEC 18004 asks for."""

from collections.abc import Iterator
from dataclasses import dataclass

import qrcode
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q

QUIET_MODULES = 4
_LEVELS = {"L": ERROR_CORRECT_L, "M": ERROR_CORRECT_M, "Q": ERROR_CORRECT_Q, "H": ERROR_CORRECT_H}


@dataclass(frozen=True)
class Symbol:
    """A QR symbol: `side` modules with its quiet zone, runs of dark modules as (column, row, length)."""

    side: int
    runs: tuple[tuple[int, int, int], ...]

    @property
    def svg_path(self) -> str:
        """The dark modules as an SVG path, rows downwards."""
        return "".join(f"M{x} {y}h{run}v1h-{run}z" for x, y, run in self.runs)

    @property
    def pdf_path(self) -> str:
        """The dark modules as PDF rectangles, rows upwards."""
        return " ".join(f"{x} {self.side - 1 - y} {run} 1 re" for x, y, run in self.runs)


def qr_symbol(text: str, level: str = "M") -> Symbol:
    """Encode text in the smallest symbol at an error correction level L, M, Q or H."""
    code = qrcode.QRCode(error_correction=_LEVELS[level], border=QUIET_MODULES)
    code.add_data(text)
    code.make(fit=True)
    matrix = code.get_matrix()
    runs = tuple((x, y, run) for y, row in enumerate(matrix) for x, run in _runs(row))
    return Symbol(len(matrix), runs)


def _runs(row: list[bool]) -> Iterator[tuple[int, int]]:
    """Neighbouring dark modules of a row as (start, length)."""
    start = None
    for x, dark in enumerate([*row, False]):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            yield start, x - start
            start = None
