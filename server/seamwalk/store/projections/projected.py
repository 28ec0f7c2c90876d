"""Which tables are made from entries and can be made again; children before those that they refer to."""

from seamwalk.store.tables import (
    ActCheck,
    ActRow,
    BindingRow,
    BlobUse,
    CheckStateRow,
    Device,
    Item,
    ItemChange,
    ItemLabel,
    RevokedLabel,
    SignOff,
    ToldRow,
    TraceRow,
    TypeRow,
    WallPlan,
)

PROJECTIONS = (
    BlobUse,
    TraceRow,
    ItemChange,
    TypeRow,
    BindingRow,
    RevokedLabel,
    ItemLabel,
    Item,
    SignOff,
    ToldRow,
    CheckStateRow,
    ActCheck,
    ActRow,
    WallPlan,
    Device,
)
