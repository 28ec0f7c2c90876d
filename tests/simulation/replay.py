"""Replay one seed of the simulation and print its script: `python tests/simulation/replay.py SEED [BUG]`."""

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT / folder) for folder in ("demo", "tests")]

from sim_bugs import BUGS  # noqa: E402
from sim_run import Broken  # noqa: E402
from sim_server import Machine  # noqa: E402
from sim_world import World  # noqa: E402


def main() -> int:
    """Run it."""
    with tempfile.TemporaryDirectory() as folder:
        machine = Machine(Path(folder))
        with BUGS[sys.argv[2] if len(sys.argv) > 2 else "none"]() as fields:
            world = World(int(sys.argv[1]), machine, **fields)
            try:
                world.run()
            except Broken as error:
                print(error)
                return 1
    print("\n".join(world.script))
    return 0


if __name__ == "__main__":
    sys.exit(main())
