"""What the phone is given of the server's records is what they say."""

import json
from typing import Any

import pytest
from make_records import SRC, records
from make_shapes import json_schemas, typescript


@pytest.mark.parametrize("path", records())
def test_the_phone_has_what_the_server_says(path: str) -> None:
    assert plain(json.loads((SRC / path).read_text())) == plain(records()[path])


@pytest.fixture(scope="module")
def made() -> dict[str, str]:
    return typescript()


@pytest.mark.parametrize("path", json_schemas())
def test_the_phone_knows_the_shapes_of_the_servers_models(made: dict[str, str], path: str) -> None:
    assert (SRC / path).read_text() == made[path]


def plain(value: Any) -> Any:
    """As it is, the entry types of a role in any order."""
    if isinstance(value, dict):
        return {name: sorted(told) if name == "writes" else plain(told) for name, told in value.items()}
    return value
