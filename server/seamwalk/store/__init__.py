"""The database: the ledger of every book, its projections, accounts, invites and blobs. Knows no web."""
