"""Catalogues of the server: every language of a face has every text, with the same holes."""

import re
from pathlib import Path

import pytest

import seamwalk.texts
from seamwalk.texts import LANGUAGES, catalogue

FILES = sorted(Path(seamwalk.texts.__file__).parent.glob("*.yaml"))


@pytest.mark.parametrize("file", FILES, ids=lambda path: path.name)
def test_a_language_has_every_text_with_its_holes(file: Path) -> None:
    face, language, _ = file.name.split(".")
    here, english = catalogue(face, language), catalogue(face)
    assert set(here) == set(english)
    wrong = [key for key, text in english.items() if holes(text) != holes(here[key])]
    assert wrong == []


def test_every_language_that_lies_here_is_told() -> None:
    assert set(LANGUAGES) == {file.name.split(".")[1] for file in FILES}


def holes(text: str) -> list[str]:
    return sorted(re.findall(r"\{\w+\}", text))
