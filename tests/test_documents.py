"""What the documents say is so."""

from pathlib import Path

from seamwalk.cli import parser
from seamwalk.config import settings_table

ROOT = Path(__file__).parent.parent
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
README = (ROOT / "README.md").read_text()


def test_every_setting_stands_in_the_table() -> None:
    assert settings_table() in DEVELOPERS


def test_readme_names_only_commands_that_there_are() -> None:
    usage = parser().format_help()
    for command in ("serve", "account", "schema", "export", "verify", "rebuild", "demo"):
        assert f"seamwalk {command}" in README
        assert f"    {command} " in usage or f"    {command}\n" in usage
