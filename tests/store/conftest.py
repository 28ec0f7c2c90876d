"""A database to play written-down books into."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from helpers import RING
from seamwalk.store.engine import Store
from site_templates import make_newest


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    engine = make_newest(f"sqlite:///{tmp_path / 'scene.db'}")
    with Store(engine, RING).write() as session:
        yield session
    engine.dispose()
