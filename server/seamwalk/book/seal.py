"""The seal on a print: which entry of which book it shows, and the head that stood when it was printed.

`SEAMWALK1:<book>:<epoch>:<size>:<root>:<entry>` in capitals and digits, so that a QR holds it as alphanumeric
text (ISO/IEC 18004). A book cannot be rewritten behind it: its first `size` entries must hash to `root`.
"""

import re
from dataclasses import dataclass

from seamwalk.errors import BookError

_PREFIX = "SEAMWALK1"
_SEAL = re.compile(
    rf"{_PREFIX}:(?P<book>B[0-9A-F]{{16}}):(?P<epoch>[1-9][0-9]{{0,14}}):(?P<size>[1-9][0-9]{{0,11}})"
    r":(?P<root>[0-9A-F]{64}):(?P<entry>[0-9A-F]{64})"
)


@dataclass(frozen=True)
class Seal:
    """A print's claim: `entry` is among the first `size` entries of `book`, which hash to `root`."""

    book: str
    epoch: int
    size: int
    root: str
    entry: str

    @property
    def text(self) -> str:
        """What the QR holds."""
        return f"{_PREFIX}:{self.book}:{self.epoch}:{self.size}:{self.root}:{self.entry}".upper()


def read_seal(text: str) -> Seal:
    """Read a seal's text, spaces and case aside; raise BookError when it is none."""
    match = _SEAL.fullmatch("".join(text.split()).upper()) if text.isascii() else None
    if match is None:
        raise BookError("seal: not the text of a print's QR", "Scan the QR again, whole.", "seal")
    part = {name: value.lower() for name, value in match.groupdict().items()}
    return Seal(part["book"], int(part["epoch"]), int(part["size"]), part["root"], part["entry"])
