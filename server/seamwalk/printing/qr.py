"""QR symbols as SVG paths, with the four-module quiet zone that ISO/IEC 18004 asks for."""

from dataclasses import dataclass

import qrcode
from qrcode.constants import ERROR_CORRECT_M, ERROR_CORRECT_Q

QUIET_MODULES = 4


@dataclass(frozen=True)
class Symbol:
    """A QR symbol: `side` modules with its quiet zone, dark modules as one SVG path."""

    side: int
    path: str


def qr_svg(text: str, *, robust: bool = False) -> Symbol:
    """Encode text in the smallest symbol at level M, or Q when it must survive damage."""
    code = qrcode.QRCode(
        error_correction=ERROR_CORRECT_Q if robust else ERROR_CORRECT_M, border=QUIET_MODULES
    )
    code.add_data(text)
    code.make(fit=True)
    matrix = code.get_matrix()
    path = "".join(f"M{x} {y}h{run}v1h-{run}z" for y, row in enumerate(matrix) for x, run in _runs(row))
    return Symbol(len(matrix), path)


def _runs(row: list[bool]) -> list[tuple[int, int]]:
    """Neighbouring dark modules of a row as (start, length)."""
    runs: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if dark and runs and sum(runs[-1]) == x:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        elif dark:
            runs.append((x, 1))
    return runs
