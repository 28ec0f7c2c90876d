"""The first edition's folder, opened by the code of now."""

from collections.abc import Iterator
from pathlib import Path
from shutil import copyfile

import pytest
from flask import Flask

from first_edition.opened import HERE, NOW, unpacked
from seamwalk.config import load_settings
from seamwalk.store.engine import Store
from seamwalk.web import create_app
from seamwalk.web.services import EXTENSION


@pytest.fixture
def app(tmp_path: Path) -> Iterator[Flask]:
    """The first edition's folder, opened by the code of now."""
    (tmp_path / "seamwalk.db").write_bytes(unpacked("seamwalk.db.gz"))
    copyfile(HERE / "secret.key", tmp_path / "secret.key")
    opened = create_app(load_settings({"SEAMWALK_DIR": str(tmp_path)}), now=lambda: NOW)
    yield opened
    opened.extensions[EXTENSION].store.engine.dispose()


@pytest.fixture
def store(app: Flask) -> Store:
    made: Store = app.extensions[EXTENSION].store
    return made
