"""Label sheets: an A4 page of 3 x 8 labels, each with its QR, its code and what it is."""

from collections.abc import Sequence
from dataclasses import dataclass

from seamwalk.domain.codes import Code
from seamwalk.printing.qr import Symbol, qr_svg

LABELS_PER_SHEET = 24


@dataclass(frozen=True)
class Label:
    """One label."""

    code: Code
    symbol: Symbol


def label_address(code: Code, public_url: str) -> str:
    """What a label's QR holds: the code's address in capitals, which QR stores in less room."""
    return f"{public_url}/L/{code.text}".upper()


def sheets(codes: Sequence[Code], public_url: str) -> list[list[Label]]:
    """Lay labels out on sheets; cases get the symbol that survives more damage."""
    labels = [
        Label(code, qr_svg(label_address(code, public_url), robust=code.kind == "case")) for code in codes
    ]
    return [labels[start : start + LABELS_PER_SHEET] for start in range(0, len(labels), LABELS_PER_SHEET)]
