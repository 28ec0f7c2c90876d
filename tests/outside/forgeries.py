"""The corpus of forgeries: each is one change of a good book, and says how it must be refused."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import chain

from forge import Forge, Forgery
from forged_acts import acts
from forged_bodies import bodies
from forged_ends import ends
from forged_excerpts import excerpts
from forged_files import files
from forged_old import old_books
from forged_texts import texts


@lru_cache(maxsize=1)
def forgeries() -> tuple[Forgery, ...]:
    """All of them, made once."""
    return tuple(_forgeries())


def _forgeries() -> Iterator[Forgery]:
    """All of them, over fresh keys; some, told by their names, are none and must be taken."""
    book, seen = Forge(), Counter[str]()
    groups = (group(book) for group in (texts, bodies, acts, files, ends, excerpts))
    for forgery in chain(*groups, old_books(Forge(rules=1))):
        seen[forgery.name] += 1
        again = f" ({seen[forgery.name]})" if seen[forgery.name] > 1 else ""
        yield replace(forgery, name=forgery.name + again)
