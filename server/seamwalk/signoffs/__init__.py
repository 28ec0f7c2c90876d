"""What sign-offs claim, measured against the book that they stand in; above `book` and `domain`, pure."""
