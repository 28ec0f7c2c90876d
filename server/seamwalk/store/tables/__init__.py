"""The tables by subject, all named here: whoever knows one has them all, as keys between them need.

Which are projections, made from entries and made again, says `projections/projected.py`.
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
from seamwalk.store.tables.show import ToldRow, WallPlan
from seamwalk.store.tables.stock import (
    TELLS,
    BindingRow,
    Item,
    ItemChange,
    ItemLabel,
    RevokedLabel,
    SavedList,
    TraceRow,
    TypeRow,
)

__all__ = [
    "CHANGES_TRUST",
    "TELLS",
    "Account",
    "ActCheck",
    "ActRow",
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
    "Nonce",
    "OfficeSession",
    "RevokedLabel",
    "SavedList",
    "SeenHead",
    "SignOff",
    "SignedHead",
    "ToldRow",
    "TraceRow",
    "TypeRow",
    "WallPlan",
]
