"""A second reader of books: how often each flag occurs in a file that holds, or why it is refused."""

from collections.abc import Sequence

from second_reader.excerpts import read_excerpt
from second_reader.exports import read_export
from second_reader.published import Published
from second_reader.strict import Refusal

__all__ = ["Published", "Refusal", "read"]


def read(
    data: bytes, public: Published, trusted: str | None = None, seals: Sequence[str] = ()
) -> dict[str, int]:
    """The flags of an export or an excerpt; raise Refusal."""
    if b'"seamwalk_excerpt":' in data.partition(b"\n")[0]:
        read_excerpt(data, public, trusted)
        return {}
    return read_export(data, public, trusted, seals)
