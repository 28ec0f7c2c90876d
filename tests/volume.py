"""How much of what is drawn by chance a run plays: one dial for the simulation, the fuzz and the properties.

The numbers that stand in the tests are those of every day. SEAMWALK_VOLUME multiplies them: `WHOLE` before a
release. Which draws an everyday run makes follows from its turn: WHOLE turns, one after another, play the
nights of the whole volume. The same volume and turn draw the same again.
"""

import os

WHOLE = 8
VOLUME = int(os.environ.get("SEAMWALK_VOLUME", "1"))
TURN = int(os.environ.get("SEAMWALK_TURN", "0"))


def drawn(everyday: int) -> int:
    """How many of something this run draws, by the number for every day."""
    return everyday * VOLUME


def said() -> str:
    """What must be set to draw the same again."""
    return f"SEAMWALK_VOLUME={VOLUME} SEAMWALK_TURN={TURN}"
