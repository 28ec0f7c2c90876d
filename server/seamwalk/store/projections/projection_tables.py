"""Which tables are made from entries and can be made again; children before those that they refer to."""

from seamwalk.store.stock_tables import (
    BindingRow,
    Item,
    ItemChange,
    ItemLabel,
    RevokedLabel,
    TraceRow,
    TypeRow,
)
from seamwalk.store.tables import ActCheck, ActRow, BlobUse, CheckStateRow, Device, SignOff, ToldRow, WallPlan

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
