"""Check an export, and what the sign-offs in it claim."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from seamwalk.book.seal import Seal
from seamwalk.book.verify import Report, verify_export
from seamwalk.signoffs.book_claims import BookClaims


def verify_with_claims(
    lines: Iterable[bytes],
    trust_fingerprint: str | None = None,
    seals: Sequence[Seal] = (),
    say: Callable[[str], str] = str,
) -> Report:
    """Verify an export as `verify_export` does; flag also what its sign-offs leave out.

    `say` says a check of a wall; without, it is named by its id.
    """
    claims = BookClaims()
    report = verify_export(lines, trust_fingerprint, seals, claims)
    return replace(report, flags=(*report.flags, *claims.flags(say)))
