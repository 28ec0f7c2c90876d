"""Columns that tables of all subjects have: what names a book, an entry or blob, a device."""

from sqlalchemy import BigInteger, Integer, String

BOOK = String(17)
HASH = String(64)
DEVICE = String(43)
EPOCH = BigInteger().with_variant(Integer, "sqlite")
