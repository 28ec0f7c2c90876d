"""Text catalogues: YAML files of nested keys, one for each face and language."""

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml

# what XML 1.0 (section 2.2) and UTF-8 (RFC 3629) have no form for, and the marks that turn a line around
_CONTROLS = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff"
_TURNS = "\u202a-\u202e\u2066-\u2069"
_NOT_SHOWN = re.compile(f"[{_CONTROLS}{_TURNS}]")
PSEUDO = "pseudo"
_HERE = Path(__file__).parent
# in C where PyYAML was built with it: every program reads catalogues as it starts
_LOADER: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
# what procedures are told in: English, and whatever else lies here
_FOUND = {path.name.split(".")[1] for path in _HERE.glob("procedures.*.yaml")}
LANGUAGES = ("en", *sorted(_FOUND - {"en"}))


@cache
def catalogue(face: str, language: str = "en") -> dict[str, str]:
    """A face's texts by dotted key. The language `pseudo` marks every English text, so that others show."""
    if language == PSEUDO:
        return {key: f"⟦{text}⟧" for key, text in catalogue(face).items()}
    path = _HERE / f"{face}.{language}.yaml"
    value = yaml.load(path.read_text("utf-8"), _LOADER)  # noqa: S506 - a safe one
    return dict(flatten("", value))


class Translate:
    """The texts of one face in one language."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self._texts = texts

    def __call__(self, key: str, **parameters: object) -> str:
        """The text of a key; an unknown key is a programming error."""
        return self._texts[key].format(**parameters)

    def word(self, group: str, value: object, **parameters: object) -> str:
        """The word of a group for a value that comes from outside; the value as it is where there is none.

        An entry may speak of what this edition has no word for, and is shown all the same.
        """
        text = self._texts.get(f"{group}.{value}")
        return str(value) if text is None else text.format(**parameters)


def translator(face: str, language: str = "en") -> Translate:
    """The texts of a face in a language."""
    return Translate(catalogue(face, language))


def showable(text: str) -> str:
    """A text from outside as every page and file can hold it: what none can is escaped."""
    return _NOT_SHOWN.sub(lambda found: found[0].encode("unicode_escape").decode("ascii"), text)


def flatten(prefix: str, value: Any) -> list[tuple[str, str]]:
    """Nested keys as dotted ones, texts without the space around them."""
    if isinstance(value, dict):
        pairs = value.items()
        return [
            pair for key, inner in pairs for pair in flatten(f"{prefix}.{key}" if prefix else str(key), inner)
        ]
    return [(prefix, str(value).strip())]
