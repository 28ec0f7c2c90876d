"""The tables by subject, all named here: whoever knows one has them all, as keys between them need.

Which are projections, made from entries and made again, says `projections/projection_tables.py`.
"""

from seamwalk.store.tables.access import Account, Device, DeviceSession, Invite, Nonce, OfficeSession
from seamwalk.store.tables.findings import ActCheck, ActRow, CheckStateRow, SignOff
from seamwalk.store.tables.ledger import (
    CHANGES_TRUST,
    Blob,
    BlobPart,
    BlobUse,
    Book,
    HeldEntry,
    Key,
    LedgerEntry,
    SeenHead,
    SignedHead,
)
from seamwalk.store.tables.show import ActivityRow, WallPlan
from seamwalk.store.tables.stock import (
    HAS_TOLD,
    BindingRow,
    Item,
    ItemChange,
    ItemLabel,
    MovementRow,
    RevokedLabel,
    SavedList,
    TypeAttributesRow,
)

__all__ = [
    "CHANGES_TRUST",
    "HAS_TOLD",
    "Account",
    "ActCheck",
    "ActRow",
    "ActivityRow",
    "BindingRow",
    "Blob",
    "BlobPart",
    "BlobUse",
    "Book",
    "CheckStateRow",
    "Device",
    "DeviceSession",
    "HeldEntry",
    "Invite",
    "Item",
    "ItemChange",
    "ItemLabel",
    "Key",
    "LedgerEntry",
    "MovementRow",
    "Nonce",
    "OfficeSession",
    "RevokedLabel",
    "SavedList",
    "SeenHead",
    "SignOff",
    "SignedHead",
    "TypeAttributesRow",
    "WallPlan",
]
