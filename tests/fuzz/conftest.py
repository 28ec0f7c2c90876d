"""One site of each kind of database for all tests of a file, and the count of what they ask of it."""

from collections.abc import Callable, Iterator

import pytest

from conftest import GENERATED, place_of
from fuzz.fuzz_filling import fill
from fuzz.fuzz_site import Fuzzed
from helpers import make_site


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def filled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Fuzzed]:
    """A site with something of everything."""
    folder = tmp_path_factory.mktemp("fuzz")
    with place_of(request, folder) as url:
        site = make_site(folder, url)
        yield Fuzzed(site, *fill(site), is_large=request.param == "sqlite")
        site.store.engine.dispose()


@pytest.fixture
def fuzzed(filled: Fuzzed, record_property: Callable[[str, object], None]) -> Iterator[Fuzzed]:
    """The site, its requests counted for one test."""
    filled.asked = filled.failed = filled.taken = 0
    yield filled
    record_property(GENERATED, (filled.asked, filled.failed))
