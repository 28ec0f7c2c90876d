"""Things of the stock: their codes, cases, looks and repairs, and where they stand in a wall."""
