"""Text catalogues: YAML files of nested keys, one for each face and language."""

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import yaml

PSEUDO = "pseudo"
LANGUAGES = ("en", "de")

Translate = Callable[..., str]


@cache
def catalogue(face: str, language: str = "en") -> dict[str, str]:
    """A face's texts by dotted key. The language `pseudo` marks every English text, so that others show."""
    if language == PSEUDO:
        return {key: f"⟦{text}⟧" for key, text in catalogue(face).items()}
    path = Path(__file__).parent / f"{face}.{language}.yaml"
    return dict(flatten("", yaml.safe_load(path.read_text("utf-8"))))


def translator(face: str, language: str = "en") -> Translate:
    """A function from a key and its parameters to text; an unknown key is a programming error."""
    texts = catalogue(face, language)

    def t(key: str, **parameters: object) -> str:
        return texts[key].format(**parameters)

    return t


def flatten(prefix: str, value: Any) -> list[tuple[str, str]]:
    """Nested keys as dotted ones, texts without the space around them."""
    if isinstance(value, dict):
        pairs = value.items()
        return [
            pair for key, inner in pairs for pair in flatten(f"{prefix}.{key}" if prefix else str(key), inner)
        ]
    return [(prefix, str(value).strip())]
