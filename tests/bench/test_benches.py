"""Every bench runs, once and as small as it goes; what it measures is nobody's business here."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from bench import run
from bench.run import BENCHES

FOLDER = Path(__file__).parent
IN_BROWSERS = ("start", "taps")
RATIO = re.compile(r"[:,] x \d")


def test_every_bench_is_listed() -> None:
    modules = {path.stem for path in FOLDER.glob("*.py")}
    assert modules - {"bench_book", "installed", "run", "test_benches"} == set(BENCHES)


@pytest.mark.parametrize("name", [name for name in BENCHES if name not in IN_BROWSERS])
def test_a_bench_ends_and_prints_its_ratios(
    name: str, tmp_path: Path, capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    run.main(["--tiny", name])
    assert prints_ratios(capfd.readouterr().out)


@pytest.mark.long
@pytest.mark.browser
@pytest.mark.parametrize("name", IN_BROWSERS)
def test_a_bench_in_a_browser_ends_and_prints_its_ratios(name: str) -> None:
    """By its command, beside the browsers of this process."""
    command = [sys.executable, str(FOLDER / "run.py"), "--tiny", name]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert prints_ratios(done.stdout), done.stdout


def prints_ratios(told: str) -> bool:
    return bool(RATIO.search(told)) or "no ratio: Kinto is not installed here" in told
