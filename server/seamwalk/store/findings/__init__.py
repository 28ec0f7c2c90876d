"""How the checks of a wall stand, why, and what was signed."""
