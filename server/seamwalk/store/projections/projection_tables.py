"""Which tables are made from entries and can be made again; children before those that they refer to."""

from seamwalk.store.stock_tables import (
    BindingRow,
    Item,
    ItemChange,
    ItemLabel,
    MovementRow,
    RevokedLabel,
    TypeAttributesRow,
)
from seamwalk.store.tables import (
    ActCheck,
    ActivityRow,
    ActRow,
    BlobUse,
    CheckStateRow,
    Device,
    SignOff,
    WallPlan,
)

PROJECTIONS = (
    BlobUse,
    MovementRow,
    ItemChange,
    TypeAttributesRow,
    BindingRow,
    RevokedLabel,
    ItemLabel,
    Item,
    SignOff,
    ActivityRow,
    CheckStateRow,
    ActCheck,
    ActRow,
    WallPlan,
    Device,
)
