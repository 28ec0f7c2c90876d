"""The phone's fold of 50,000 entries, in Node: see fold.ts."""

import subprocess
import tempfile
from pathlib import Path

from sim_replica import NODE, bundle


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    with tempfile.TemporaryDirectory() as folder:
        script = bundle(Path(folder), Path(__file__).with_name("fold.ts"))
        size = ["--tiny"] if tiny else []
        subprocess.run([str(NODE), "--expose-gc", str(script), *size], check=True)
