"""A frozen checks file is read as it was planned: every check with its own place; older files too."""

import json
from typing import Any

from hypothesis import given

from any_walls import built, plans
from seamwalk.domain.checks.file import ChecksFile
from seamwalk.domain.checks.walks import plan_walks
from seamwalk.domain.frozen import checks_file, plan_checks, read_checks, read_walk


@given(plans())
def test_every_check_is_read_with_its_own_place(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None:
        return
    file: ChecksFile = json.loads(checks_file("A", wall.plan))
    checks = plan_checks(wall)
    assert read_checks(file) == [check for check in checks if check.walk != "strike"]
    for walk in plan_walks(wall, checks):
        read = read_walk(file, walk.key)
        assert [[tuple(here) for _, here in stop] for stop in read] == [stop.places() for stop in walk.stops]
        assert all(check.place == place for stop in read for place, here in stop for check in here)
    for frozen in file["walks"]:
        for stop in frozen["stops"]:
            assert sum(place["count"] for place in stop.get("places", [])) in (0, len(stop["checks"]))


def test_a_stop_of_an_older_file_is_one_place() -> None:
    stop = {"place": "side/1.1/2.1", "column": 1, "row": 1, "checks": [0, 1]}
    kinds = [("edges", "clean"), ("locks", "2")]
    checks = [
        {"id": f"A/side/1.1/2.1/{kind}:{expect}", "kind": kind, "expect": expect, "tiles": []}
        for kind, expect in kinds
    ]
    file: Any = {"walks": [{"key": "build", "stops": [stop]}], "checks": checks}
    ((place, here),) = read_walk(file, "build")[0]
    assert place == "side/1.1/2.1"
    assert here == read_checks(file)
    assert [(check.kind, check.place, check.column) for check in here] == [
        ("edges", place, 1),
        ("locks", place, 1),
    ]
