"""In which order a run's workers take its tests.

What takes long is spread over the first part of a run, so that no worker ends with it while the others
have nothing left; the browser's tests are spread between those that compute: few browsers are open at once.
"""

from collections.abc import Callable
from heapq import merge

import pytest
from xdist.scheduler import LoadScopeScheduling

# modules whose tests share what takes long to make: one worker takes all of them
TOGETHER = (
    "tests/browser/test_joining.py",
    "tests/demo/test_demo.py",
    "tests/faults/test_flips.py",
    "tests/faults/test_power.py",
    "tests/faults/test_write_errors.py",
    "tests/fuzz/test_calls.py",
    "tests/fuzz/test_hostile_entries.py",
    "tests/fuzz/test_hostile_files.py",
    "tests/fuzz/test_office_input.py",
    "tests/fuzz/test_tried.py",
    "tests/outside/test_second_reader.py",
    "tests/outside/test_transport.py",
    "tests/outside/test_web_security.py",
)
# by mark, how much of a run is over when the last of them begins
OVER = {"long": 0.6, "browser": 0.8, "": 1.0}


class OneByOne(LoadScopeScheduling):
    """Gives whoever is free the next test, or the next module of those that stay together."""

    def __init__(self, config: pytest.Config, log: Callable[..., None]) -> None:
        super().__init__(config, log)
        config.option.loadscopereorder = False  # the order is that of `in_order`

    def _split_scope(self, nodeid: str) -> str:
        module = nodeid.partition("::")[0]
        return module if module in TOGETHER else nodeid


def in_order(items: list[pytest.Item]) -> list[pytest.Item]:
    """The tests in the order in which they are taken."""
    lanes: dict[str, list[pytest.Item]] = {mark: [] for mark in OVER}
    for item in items:
        lanes[_lane_of(item)].append(item)
    placed = [
        [(OVER[mark] * number / len(lane), item) for number, item in enumerate(lane)]
        for mark, lane in lanes.items()
    ]
    return [item for _, item in merge(*placed, key=lambda one: one[0])]


def _lane_of(item: pytest.Item) -> str:
    """The first of the marks that a test has."""
    return next(mark for mark in OVER if mark == "" or item.get_closest_marker(mark))
