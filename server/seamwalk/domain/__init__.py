"""What a wall is and what is found on it. Pure: no Flask, SQL, clock, network or files."""
