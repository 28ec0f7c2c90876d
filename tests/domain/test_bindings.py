"""Which tile stands where, by the vectors that the phone passes too."""

import json
from pathlib import Path
from typing import Any

import pytest

from seamwalk.domain.stock.bindings import Binding, current_bindings

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "bindings.json").read_text())


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["description"])
def test_bindings(vector: dict[str, Any]) -> None:
    made = [Binding(wall="A", **{**item, "replaces": tuple(item["replaces"])}) for item in vector["made"]]
    withdrawn: dict[str, set[str]] = {}
    for item in vector["withdrawn"]:
        withdrawn.setdefault(item["entry"], set()).add(item["author"])
    for order in (made, made[::-1]):
        assert sorted(item.entry for item in current_bindings(order, withdrawn)) == vector["standing"]
