"""Pages on which a wall is planned and seen."""
