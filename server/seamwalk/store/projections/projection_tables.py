"""Which tables are made from entries and can be made again; children before those that they refer to."""

from seamwalk.store.tables import (
    ActCheck,
    ActivityRow,
    ActRow,
    BindingRow,
    BlobUse,
    CheckStateRow,
    Device,
    Item,
    ItemChange,
    ItemLabel,
    MovementRow,
    RevokedLabel,
    SignOff,
    TypeAttributesRow,
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
