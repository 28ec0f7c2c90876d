"""The one table of roles: what each may write, which statements it may sign, which pages it may see."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


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


class Duty(StrEnum):
    """What of a wall somebody answers for, and so who lets it go on after a stop."""

    STRUCTURE = "structure"
    MAINS = "mains"
    SITE = "site"


@dataclass(frozen=True)
class Rights:
    """Entry types a role may write, statements it may sign, its duties, areas of the office it may enter."""

    entry_types: frozenset[str]
    statements: frozenset[Statement] = frozenset()
    duties: frozenset[Duty] = frozenset()
    areas: frozenset[str] = frozenset()


def _rights(
    *entry_types: str,
    statements: tuple[Statement, ...] = (),
    duties: tuple[Duty, ...] = (),
    areas: tuple[str, ...] = (),
) -> Rights:
    return Rights(frozenset(entry_types), frozenset(statements), frozenset(duties), frozenset(areas))


_WALKING = (
    "found",
    "withdrawn",
    "swapped",
    "tile_bound",
    "procedure_walked",
    "work_shared",
    "circuits_switched",
    "pace_answered",
)
_STRIKE = ("strike_opened", "strike_closed")
_SIGNS = ("signed_off", "stop_released")
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
        *_WALKING,
        *_CASES,
        *_HIRE,
        *_STRIKE,
        *_SIGNS,
        statements=(Statement.BUILT, Statement.HANDOVER),
        duties=(Duty.SITE,),
    ),
    Role.COMPETENT_PERSON: _rights(
        *_WALKING, *_SIGNS, statements=(Statement.SUSPENSION,), duties=(Duty.STRUCTURE,)
    ),
    Role.ELECTRICIAN: _rights(*_WALKING, *_SIGNS, statements=(Statement.SUPPLY,), duties=(Duty.MAINS,)),
    Role.CLIENT: _rights("signed_off", statements=(Statement.PICTURE,)),
    Role.PARTNER: _rights("countersigned"),
    Role.WAREHOUSE: _rights(
        *_WALKING, *_CASES, *_HIRE, "item_benched", *_STOCK, areas=("home", "labels", "stock")
    ),
    Role.OFFICE: _rights(*_OFFICE, *_STOCK, *_COMPANY, areas=("home", "labels", "shows", "stock")),
}


def may_write(role: Role, entry_type: str, body: Mapping[str, Any]) -> bool:
    """Tell whether a role may write an entry of this type, by its statement or duty where it has one."""
    rights = RIGHTS[role]
    if entry_type not in rights.entry_types:
        return False
    if entry_type == "signed_off":
        return body.get("statement") in rights.statements
    return entry_type != "stop_released" or body.get("duty") in rights.duties
