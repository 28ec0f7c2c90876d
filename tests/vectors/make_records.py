"""Write what the phone needs of the server's records as JSON under static/src: types, roles, parts, kinds.

The tests compare the files with this. After a change run it, then format them: in static/,
`node node_modules/@biomejs/biome/bin/biome format --write src`.
"""

import json
from pathlib import Path
from typing import Any

from seamwalk.book.entry import BLOB_FIELDS
from seamwalk.book.roles import RIGHTS
from seamwalk.book.types import BODIES, newest_version
from seamwalk.book.warehouse_types import BENCH_RESULTS
from seamwalk.domain.checks.kinds import KINDS, STRIKE
from seamwalk.domain.checks.pace_rule import AHEAD_MS, FROM_AFAR, LOOK_MS, WALK_MS
from seamwalk.domain.stock.tile_parts import PARTS_OF_KIND, SIDES

SRC = Path(__file__).parents[2] / "static" / "src"


def records() -> dict[str, Any]:
    """What each file holds, by its path under static/src."""
    roles = {
        role.value: {
            "writes": sorted(rights.entry_types),
            "statements": sorted(rights.statements),
            "duties": sorted(rights.duties),
        }
        for role, rights in RIGHTS.items()
    }
    sides = {side: list(groups) for side, groups in SIDES.items()}
    parts = {kind: list(names) for kind, names in PARTS_OF_KIND.items()}
    bench = {step: list(results) for step, results in BENCH_RESULTS.items()}
    strike = [name for name, kind in KINDS.items() if kind.walk == STRIKE]
    pace = {
        "look_ms": LOOK_MS,
        "walk_ms": WALK_MS,
        "from_afar": list(FROM_AFAR),
        "ahead_ms": AHEAD_MS,
    }
    return {
        "book/entry_types.json": {entry_type: newest_version(entry_type) for entry_type in BODIES},
        "book/blob_fields.json": sorted(BLOB_FIELDS),
        "book/roles.json": roles,
        "walk/stock/parts.json": {"sides": sides, "of_kind": parts, "bench": bench},
        "walk/checks/kinds.json": {"strike": strike, "pace": pace},
    }


def main() -> None:
    """Write the files."""
    for path, value in records().items():
        (SRC / path).write_text(json.dumps(value, indent=2) + "\n")


if __name__ == "__main__":
    main()
