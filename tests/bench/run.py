"""Measure, as ratios in one run: `python tests/bench/run.py [--tiny] [NAME ...]`.

`--tiny` only runs each once, as small as it goes, so that none rots: its figures say nothing.
"""

import argparse
import importlib
import sys
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BENCHES = (
    "ingest",
    "replay",
    "claims",
    "fold",
    "sheet",
    "labels",
    "scan",
    "things",
    "start",
    "taps",
    "against_kinto",
)


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the benches that are named, or all."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tiny", action="store_true")
    parser.add_argument("names", nargs="*", metavar="NAME")
    given = parser.parse_args(arguments)
    sys.path[:0] = [str(ROOT / folder) for folder in ("demo", "tests", "tests/simulation")]
    for name in given.names or BENCHES:
        print(f"--- {name}", flush=True)
        importlib.import_module(f"bench.{name}").main(tiny=given.tiny)


if __name__ == "__main__":
    main()
