"""What a change can have broken: which checks, and which tests beyond those that testmon finds by itself.

testmon knows of each test which Python ran in its own process (`.testmondata`, kept up by every run of it).
What it cannot see, a server in a process of its own, the phone, templates and other files of data, stands in
`ALSO`.
"""

import subprocess
from pathlib import Path, PurePosixPath

ROOT = Path(__file__).resolve().parent.parent
_PAGES = ("tests/web", "tests/browser", "tests/first_edition", "tests/demo", "tests/outside")
_SERVED = (
    "tests/browser",
    "tests/faults",
    "tests/packaging",
    "tests/outside/test_transport.py",
    "tests/bench",
)
# by the beginning of a path: the tests that what lies there can break unseen
ALSO: dict[str, tuple[str, ...]] = {
    "server/seamwalk/texts": (*_PAGES, "tests/test_texts.py", "tests/procedures"),
    "server/seamwalk/procedures": (*_PAGES, "tests/procedures", "tests/domain"),
    "server/seamwalk/book/FORMAT.md": ("tests/book", "tests/outside"),
    "server": _SERVED,
    "demo": ("tests/demo", "tests/packaging"),
    "templates": _PAGES,
    "static/src": ("tests/browser", "tests/bench", "tests/simulation", "tests/test_records.py"),
    "static": ("tests/browser", "tests/packaging", "tests/test_records.py"),
    "tests/first_edition": ("tests/first_edition",),
    "tests/vectors": (
        "tests/book",
        "tests/domain",
        "tests/outside",
        "tests/signoffs",
        "tests/store",
        "tests/web",
    ),
    "tests/conftest.py": ("tests",),
    "pyproject.toml": ("tests",),
    "README.md": ("tests/test_documents.py",),
    "DEVELOPERS.md": ("tests/test_documents.py",),
}
# what the server's checks look at, and what the phone's do
_PYTHON = (".py", ".toml")
_PHONE = (".ts", ".tsx", ".mjs", ".json", ".css", ".html")


def changed_since(commit: str) -> list[str]:
    """The files that differ from a commit; those that git does not know yet are among them."""
    lines = _git("diff", "--name-only", commit) + _git("ls-files", "--others", "--exclude-standard")
    return sorted(lines.splitlines())


def unseen_tests(changed: list[str]) -> list[str]:
    """The tests that a change can break without testmon's notice, none of them twice."""
    named = {
        test for file in changed for start, tests in ALSO.items() if _is_in(file, start) for test in tests
    }
    return sorted(test for test in named if not any(_is_in(test, other) for other in named - {test}))


def touches_python(changed: list[str]) -> bool:
    """Whether the server's checks have anything to look at."""
    return any(file.endswith(_PYTHON) for file in changed)


def touches_phone(changed: list[str]) -> bool:
    """Whether the phone's checks have anything to look at."""
    return any(file.endswith(_PHONE) for file in changed)


def _is_in(file: str, start: str) -> bool:
    return PurePosixPath(file).is_relative_to(start)


def _git(*arguments: str) -> str:
    return subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True, check=True).stdout
