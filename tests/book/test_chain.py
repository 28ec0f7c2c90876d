"""What is odd about a device's entries, held to the phone's by tests/vectors/chains.json."""

import json
from pathlib import Path
from typing import Any

import pytest

from seamwalk.book.chain import Chains

CASES = json.loads((Path(__file__).parent.parent / "vectors" / "chains.json").read_text())["cases"]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["description"])
def test_flags_and_gaps(case: dict[str, Any]) -> None:
    chains = Chains()
    for entry in case["entries"]:
        chains.link(entry["id"], entry["other"], entry["device"], entry["n"], entry["prev"])
    assert {entry: sorted(flags) for entry, flags in chains.flags().items()} == case["flags"]
    assert {device: [list(gap) for gap in gaps] for device, gaps in chains.gaps().items()} == case["gaps"]
