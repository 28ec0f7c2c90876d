"""What an entry made is known by two ids: its entry's own, and that under the other form of its signature.

Whoever wrote of an entry may have seen it under either. Both mean the one entry, so references are compared
here and nowhere else.
"""

from collections.abc import Container


def is_referenced(entry: str, other: str, references: Container[str]) -> bool:
    """Whether one of these references means an entry; `other` is "" where no other form of it is known."""
    return entry in references or (other != "" and other in references)
