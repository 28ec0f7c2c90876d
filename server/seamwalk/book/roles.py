"""The one table of roles: what each may write, which statements it may sign, which pages it may see."""

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What somebody is on a show."""

    CREW = "crew"
    CHIEF = "chief"
    COMPETENT_PERSON = "competent_person"
    ELECTRICIAN = "electrician"
    CLIENT = "client"
    WAREHOUSE = "warehouse"
    PARTNER = "partner"
    OFFICE = "office"


class Statement(StrEnum):
    """What a sign-off states."""

    BUILT = "built"
    SUSPENSION = "suspension"
    SUPPLY = "supply"
    PICTURE = "picture"
    HANDOVER = "handover"


@dataclass(frozen=True)
class Rights:
    """Entry types a role may write, statements it may sign off, areas of the office it may enter."""

    entry_types: frozenset[str]
    statements: frozenset[Statement] = frozenset()
    areas: frozenset[str] = frozenset()


def _rights(*entry_types: str, statements: tuple[Statement, ...] = (), areas: tuple[str, ...] = ()) -> Rights:
    return Rights(frozenset(entry_types), frozenset(statements), frozenset(areas))


_WALKING = ("found", "withdrawn", "swapped", "tile_bound", "procedure_walked", "work_shared")
_CASES = ("item_seen", "case_closed", "parts_counted", "item_looked_at")
_HIRE = ("hire_handed_over", "countersigned")
_STOCK = (
    "item_registered",
    "item_relabelled",
    "item_described",
    "label_revoked",
    "case_packed",
    "case_sent",
    "case_returned",
)
_COMPANY = ("type_described", "items_edited", "claim_opened")
_OFFICE = (
    "book_opened",
    "rules_begun",
    "device_admitted",
    "device_revoked",
    "entry_admitted",
    "plan_set",
    "stock_listed",
    "contacts_listed",
    "procedures_listed",
    "prep_listed",
    "blob_erased",
    "restored",
    "head_key_changed",
)

RIGHTS: dict[Role, Rights] = {
    Role.CREW: _rights(*_WALKING, *_CASES),
    Role.CHIEF: _rights(
        *_WALKING, *_CASES, *_HIRE, "signed_off", statements=(Statement.BUILT, Statement.HANDOVER)
    ),
    Role.COMPETENT_PERSON: _rights(*_WALKING, "signed_off", statements=(Statement.SUSPENSION,)),
    Role.ELECTRICIAN: _rights(*_WALKING, "signed_off", statements=(Statement.SUPPLY,)),
    Role.CLIENT: _rights("signed_off", statements=(Statement.PICTURE,)),
    Role.PARTNER: _rights("countersigned"),
    Role.WAREHOUSE: _rights(
        *_WALKING, *_CASES, *_HIRE, "item_benched", *_STOCK, areas=("home", "labels", "stock")
    ),
    Role.OFFICE: _rights(*_OFFICE, *_STOCK, *_COMPANY, areas=("home", "labels", "shows", "stock")),
}


def may_write(role: Role, entry_type: str, statement: str | None = None) -> bool:
    """Tell whether a role may write an entry of this type; for `signed_off`, also its statement."""
    rights = RIGHTS[role]
    if entry_type not in rights.entry_types:
        return False
    return entry_type != "signed_off" or statement in rights.statements
