"""A wall as it is planned: its grid, its edges, what may bend."""
