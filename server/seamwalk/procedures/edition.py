"""Editions: the procedures with their texts in every language, frozen and named by a hash.

A company writes one YAML file over the edition that comes with the program: `procedures` by key, each
whole, and `texts` by language, only those that differ.
"""

import hashlib
import json
from functools import cache
from typing import Any

from seamwalk.domain.frozen import canonical_json
from seamwalk.errors import ProcedureError
from seamwalk.procedures.load import check_procedure, load_procedures
from seamwalk.procedures.shape import EditionFile
from seamwalk.procedures.yaml_text import read_yaml
from seamwalk.texts import LANGUAGES, catalogue, flatten


def edition_hash(file: bytes) -> str:
    """The hash that names an edition's file."""
    return hashlib.sha256(file).hexdigest()


@cache
def built_in() -> bytes:
    """The edition that comes with the program, as its frozen file."""
    texts = {language: dict(catalogue("procedures", language)) for language in LANGUAGES}
    file = EditionFile(v=1, procedures=load_procedures(), texts=texts)
    return canonical_json(file.model_dump(mode="json"))


def company_edition(name: str, text: str) -> bytes:
    """The built-in edition with a company's file over it; raise ProcedureError naming file and line."""
    root, data = read_yaml(name, text)
    if not isinstance(data, dict) or not set(data) <= {"procedures", "texts"}:
        raise ProcedureError(f"{name}:1: only procedures and texts may stand here", _REMEDY)
    for part, value in data.items():
        if not isinstance(value, dict | None):
            raise ProcedureError(f"{name}:1: {part}: names with what belongs to them are needed", _REMEDY)
    own: dict[str, Any] = json.loads(built_in())
    for language, texts in (data.get("texts") or {}).items():
        if language not in LANGUAGES or not isinstance(texts, dict):
            message = f"{name}: texts.{language}: one of {', '.join(LANGUAGES)} with its texts is needed"
            raise ProcedureError(message, _REMEDY)
        own["texts"][language] |= dict(flatten("", texts))
    for key, procedure in (data.get("procedures") or {}).items():
        checked = check_procedure(name, root, ("procedures", key), procedure, own["texts"]["en"])
        own["procedures"][checked.key] = checked.model_dump(mode="json")
    return canonical_json(own)


_REMEDY = "Correct the file at that line."
