"""What a change can break unseen is tested, and stands somewhere."""

import pytest

from changed import ALSO, ROOT, touches_phone, touches_python, unseen_tests


@pytest.mark.parametrize(
    ("changed", "tests"),
    [
        (["DEVELOPERS.md"], ["tests/test_documents.py"]),
        (["tests/domain/test_walls.py"], []),
        (["pyproject.toml", "templates/office/wall.html"], ["tests"]),
        (["demo/seamwalk_demo/show.py"], ["tests/demo", "tests/packaging"]),
    ],
)
def test_what_testmon_does_not_see(changed: list[str], tests: list[str]) -> None:
    assert unseen_tests(changed) == tests


def test_a_server_is_tried_in_a_process_and_the_phone_in_a_browser() -> None:
    assert {"tests/browser", "tests/faults"} <= set(unseen_tests(["server/seamwalk/store/engine.py"]))
    assert "tests/browser" in unseen_tests(["static/src/walk/checks/pace.ts"])
    assert "tests/web" in unseen_tests(["templates/office/wall.html"])


def test_checks_are_made_of_what_they_look_at() -> None:
    assert touches_python(["server/seamwalk/store/engine.py"])
    assert not touches_phone(["server/seamwalk/store/engine.py"])
    assert touches_phone(["tests/vectors/findings.json"])


def test_every_place_and_test_that_is_named_is_there() -> None:
    named = {*ALSO, *(test for tests in ALSO.values() for test in tests)}
    assert [path for path in named if not (ROOT / path).exists()] == []
