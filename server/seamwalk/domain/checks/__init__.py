"""What is looked at on a wall, in which order it goes up and down, and what touches what."""
