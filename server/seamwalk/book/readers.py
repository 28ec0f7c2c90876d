"""Who reads what: the one table of roles and entry types. Of all else a reader gets the leaf hash alone.

The leaf hashes let every reader work out the root, so everybody stays a witness. Who may write in a book,
and what was taken back or erased in it, is read by everybody, and so is what is one's own. Acts on checks are
read all or not at all, since a state added up from some of them is wrong; and a role that signs reads all
that it signs over. A text or photo is read by whoever reads an entry that names it.
"""

from seamwalk.book.roles import Role
from seamwalk.book.trust import TRUST_TYPES
from seamwalk.book.types import BODIES

ACTS_ON_CHECKS = frozenset({"found", "swapped", "stop_released"})
EVERYBODY = frozenset({*TRUST_TYPES, "withdrawn", "blob_erased"})
_ALL = frozenset(BODIES)

READS: dict[Role, frozenset[str]] = {
    Role.CREW: _ALL,
    Role.CHIEF: _ALL,
    Role.COMPETENT_PERSON: _ALL,
    Role.ELECTRICIAN: _ALL,
    Role.WAREHOUSE: _ALL,
    Role.OFFICE: _ALL,
    # signs for the picture, over a wall's plan and all that was found at its checks
    Role.CLIENT: EVERYBODY | ACTS_ON_CHECKS | {"plan_set", "procedures_listed", "signed_off"},
    # another company's side of what is hired
    Role.PARTNER: EVERYBODY | {"hire_handed_over", "countersigned"},
}


def reads(role: Role, entry_type: str, *, own: bool = False) -> bool:
    """Tell whether a role reads entries of a type; its own it always reads."""
    return own or entry_type in READS[role]


def reads_all(role: Role) -> bool:
    """Whether nothing is kept from a role."""
    return READS[role] == _ALL
