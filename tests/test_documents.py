"""What the documents say is so."""

import re
from collections.abc import Iterator
from pathlib import Path

from seamwalk.cli import parser
from seamwalk.config import SETTINGS

ROOT = Path(__file__).parent.parent
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
README = (ROOT / "README.md").read_text()


def test_every_setting_stands_in_the_table() -> None:
    rows = [f"| `{s.variable}` | {f'`{s.default}`' if s.default else ''} | {s.help} |" for s in SETTINGS]
    table = "\n".join(["| variable | default | meaning |", "| --- | --- | --- |", *rows])
    assert table in DEVELOPERS


def test_readme_names_only_commands_that_there_are() -> None:
    usage = parser().format_help()
    commands = re.findall(r"^    ([a-z-]+)(?:  |$)", usage, re.MULTILINE)
    assert len(commands) > 10
    for command in commands:
        assert command == "books" or f"seamwalk {command}" in README
    for named in re.findall(r"seamwalk ([a-z-]+)[ `]", README):
        assert named in commands


def test_every_file_that_developers_are_sent_to_is_there() -> None:
    folders = ("server", "static", "templates", "tests", "demo")
    files = [f"/{path.relative_to(ROOT)}" for name in folders for path in files_below(ROOT / name)]
    named = set(re.findall(r"`((?:[\w.-]+/)*[\w.-]+\.(?:py|tsx?|json|ya?ml|md|mjs))`", DEVELOPERS))
    named.discard("store/migrations/versions/mNNNN_name.py")
    assert len(named) > 60
    assert sorted(name for name in named if not any(path.endswith(f"/{name}") for path in files)) == []


def files_below(folder: Path) -> Iterator[Path]:
    return (path for path in folder.rglob("*.*") if "node_modules" not in path.parts)


def test_no_template_or_text_holds_the_marks_of_a_merge() -> None:
    marks = re.compile(r"^(<<<<<<<|=======|>>>>>>>)( |$)", re.MULTILINE)
    files = [*(ROOT / "templates").rglob("*.*"), *(ROOT / "server" / "seamwalk" / "texts").glob("*.yaml")]
    assert len(files) > 50
    assert [
        str(file)
        for file in files
        if file.suffix in (".html", ".css", ".yaml") and marks.search(file.read_text())
    ] == []
