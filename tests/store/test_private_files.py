"""The data folder is its owner's alone: what is made, what is found, what is copied."""

import os
import stat
from pathlib import Path

import pytest

from helpers import make_site_anew
from seamwalk.cli import main
from seamwalk.config import load_settings
from seamwalk.errors import ConfigError


def modes(folder: Path) -> dict[str, int]:
    return {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}


@pytest.fixture(autouse=True)
def _wide_open() -> object:
    """As on a machine whose new files everybody may read and write."""
    before = os.umask(0)
    yield
    os.umask(before)


def test_what_is_made_is_private(tmp_path: Path) -> None:
    folder = tmp_path / "data"
    settings = load_settings({"SEAMWALK_DIR": str(folder)})
    site = make_site_anew(settings.dir, settings.database_url)
    site.phone()
    found = modes(folder)
    assert set(found) == {"seamwalk.db", "seamwalk.db-wal", "seamwalk.db-shm", "secret.key", "wrapping.key"}
    assert set(found.values()) == {0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    site.store.engine.dispose()


def test_what_is_there_is_tightened_at_the_start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, key = tmp_path / "data", tmp_path / "elsewhere.key"
    monkeypatch.setenv("SEAMWALK_KEY_FILE", str(key))
    assert main(["books", "--dir", str(folder)]) == 0
    (folder / "notes.txt").write_text("not ours")
    folder.chmod(0o755)
    for path in [*folder.iterdir(), key]:
        path.chmod(0o644)
    assert main(["books", "--dir", str(folder)]) == 0
    found = modes(folder)
    assert found.pop("notes.txt") == 0o644
    assert {"seamwalk.db", "secret.key"} <= set(found)
    assert set(found.values()) == {0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(key.stat().st_mode) == 0o600


def test_a_copy_is_private_and_one_that_fails_leaves_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, copy = tmp_path / "data", tmp_path / "copy.db"
    assert main(["copy", "--dir", str(folder), str(copy)]) == 0
    assert str(folder / "wrapping.key") in capsys.readouterr().out
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert main(["copy", "--dir", str(folder), str(copy)]) == 2
    assert "exists" in capsys.readouterr().err


def test_what_can_not_be_tightened_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(path: Path, mode: int) -> None:
        raise PermissionError(1, "Operation not permitted", str(path))

    tmp_path.chmod(0o755)
    monkeypatch.setattr(Path, "chmod", refuse)
    with pytest.raises(ConfigError, match="others may read it"):
        load_settings({"SEAMWALK_DIR": str(tmp_path)})
