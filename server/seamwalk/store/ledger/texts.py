"""Which texts of entries are here: found by device and number, told apart by what was signed.

A signing input names its device and its number, so two texts over one signing input stand under the same.
"""

from collections import defaultdict
from collections.abc import Collection
from typing import NamedTuple

from sqlalchemy import null, select
from sqlalchemy.orm import Session

from seamwalk.book.entry import Entry
from seamwalk.book.jose import signing_input
from seamwalk.store.rows import among_pairs
from seamwalk.store.tables import HeldEntry, LedgerEntry


class Text(NamedTuple):
    """The text that stands for an entry here, its id, and its index in the book if it has one."""

    id: str
    jws: str
    idx: int | None


class Texts:
    """The texts of one book, kept or held, as far as they were looked up or added."""

    def __init__(self) -> None:
        self._at: dict[tuple[str, int], list[Text]] = defaultdict(list)
        self._known: set[tuple[str, int]] = set()

    def look_up(
        self,
        session: Session,
        table: type[LedgerEntry] | type[HeldEntry],
        book: str,
        numbers: Collection[tuple[str, int]],
    ) -> None:
        """Find what stands under devices' numbers; what was looked up before is left alone."""
        wanted = set(numbers) - self._known
        self._known |= wanted
        where = (table.book == book, among_pairs(session, table.device, table.n, wanted))
        idx = LedgerEntry.idx if table is LedgerEntry else null()
        query = select(table.device, table.n, table.entry, table.jws, idx.label("idx")).where(*where)
        for row in session.execute(query):
            self._at[row.device, row.n].append(Text(row.entry, row.jws, row.idx))

    def over(self, entry: Entry) -> Text | None:
        """The text over this entry's signing input, of several the one that came first; None when none is."""
        here = self._at.get((entry.device, entry.n))
        if not here:
            return None
        same = (text for text in here if signing_input(text.jws) == entry.input)
        return min(same, key=lambda text: text.idx or 0, default=None)

    def has_number(self, entry: Entry) -> bool:
        """Whether the device has written any entry under this number."""
        return bool(self._at.get((entry.device, entry.n)))

    def add(self, entry: Entry, idx: int | None) -> None:
        """Add an entry that was found to be new."""
        self._at[entry.device, entry.n].append(Text(entry.id, entry.jws, idx))

    def remove(self, entry: Entry, text: Text) -> None:
        """Forget the text over an entry's signing input."""
        self._at[entry.device, entry.n].remove(text)
