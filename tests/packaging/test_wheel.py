"""A built wheel carries everything and runs from any folder."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(*command: str | Path, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run([str(part) for part in command], cwd=cwd, capture_output=True, text=True)


@pytest.mark.long
def test_a_wheel_runs_anywhere(tmp_path: Path) -> None:
    pip = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet"]
    built = run(*pip, "wheel", "--no-deps", "--wheel-dir", tmp_path, ROOT, cwd=tmp_path)
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("seamwalk-*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    for part in (
        "seamwalk/static/dist/build.json",
        "seamwalk/static/dist/sw.js",
        "seamwalk/templates/base.html",
        "seamwalk/book/FORMAT.md",
        "seamwalk/procedures/lock.yaml",
        "seamwalk/texts/office.en.yaml",
        "seamwalk/store/migrations/versions/m0001_first_tables.py",
        "seamwalk/demo/seamwalk_demo/show.py",
    ):
        assert part in names
    assert not [name for name in names if "node_modules" in name or name.startswith("tests/")]
    site = tmp_path / "site"
    assert run(*pip, "install", "--no-deps", "--target", site, wheel, cwd=tmp_path).returncode == 0
    start = f"import sys; sys.path.insert(0, {str(site)!r}); import seamwalk; from seamwalk.cli import main"
    check = f"assert seamwalk.__file__.startswith({str(site)!r}), seamwalk.__file__"
    script = f"{start}; {check}; sys.exit(main(['demo', '--no-serve', '--dir', 'fresh']))"
    done = run(sys.executable, "-c", script, cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "Join as chief" in done.stdout
