"""Measure, as ratios in one run: `python tests/bench/run.py [NAME ...]`. Never part of the tests."""

import importlib
import runpy
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BENCHES = ("ingest", "replay", "fold", "sheet", "labels", "scan", "things", "start", "against_kinto")


def main() -> None:
    """Run the benches that are named, or all."""
    folders = ("bench", "browser", "simulation")
    sys.path[:0] = [str(ROOT / "tests"), *(str(ROOT / "tests" / folder) for folder in folders)]
    runpy.run_path(str(ROOT / "tests" / "conftest.py"))  # makes the demo importable, as for the tests
    for name in sys.argv[1:] or BENCHES:
        print(f"--- {name}", flush=True)
        importlib.import_module(name).main()


if __name__ == "__main__":
    main()
