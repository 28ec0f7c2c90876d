"""Bodies of entries by their published schemas: whatever a signed entry of a known type can hold, by seed."""

import re._parser as regex  # the pattern as a tree; the module is private and this is a test
from random import Random
from typing import Any

from pydantic import ValidationError

from seamwalk.book.rules import NEWEST, RULES
from seamwalk.book.types import BODIES, body_model, newest_version

# written by the owner alone and judged by more than their schema
OF_TRUST = ("book_opened", "rules_begun", "device_admitted", "restored", "head_key_changed", "device_revoked")
KINDS = sorted(set(BODIES) - set(OF_TRUST))
_MOST_TRIES = 5000
_TEXTS = (" ", "zorp", "<b>&amp;", "=1+1", "@x", "\x01\x1b", "\u202eabc", "é" * 20, "\n", "{x}", "%s", "'\"")
_KEY = r"^[a-z][a-z0-9_]{0,39}$"
_WORDS = ("repair", "mended", "not_mended", "sound", "faulty", "scrap", "no_fault", "gap", "batch", "build")


def any_body(kind: str, random: Random) -> dict[str, Any]:
    """A body of a type's newest version that keeps to the newest rules."""
    model = body_model(kind, newest_version(kind))
    assert model is not None
    schema = model.model_json_schema(by_alias=True)
    for _ in range(_MOST_TRIES):
        body = _value(schema, schema, random)
        try:
            model.model_validate(body, context={RULES: NEWEST})
        except ValidationError:
            continue
        return dict(body)
    raise AssertionError(f"{kind}: no body fits in {_MOST_TRIES} tries")


def _value(schema: dict[str, Any], root: dict[str, Any], random: Random) -> Any:
    if "$ref" in schema:
        return _value(root["$defs"][schema["$ref"].rsplit("/", 1)[1]], root, random)
    if "anyOf" in schema:
        return _value(random.choice(schema["anyOf"]), root, random)
    if "const" in schema:
        return schema["const"]
    if "enum" in schema:
        return random.choice(schema["enum"])
    return _BY_TYPE[schema["type"]](schema, root, random)


def _text(schema: dict[str, Any], _root: dict[str, Any], random: Random) -> str:
    if "pattern" in schema:
        of_ours = schema["pattern"] == _KEY and random.random() < 0.5
        return random.choice(_WORDS) if of_ours else matching(schema["pattern"], random)
    least, most = int(schema.get("minLength", 0)), int(schema.get("maxLength", 60))
    text = "".join(random.choices(_TEXTS, k=random.randint(1, 4)))
    return (text * (least + 1))[: random.choice((most, max(least, 9)))]


def matching(pattern: str, random: Random) -> str:
    """A text that a pattern of our schemas matches."""
    return "".join(_matched(tuple(item), random) for item in regex.parse(pattern))


def _matched(item: tuple[Any, Any], random: Random) -> str:
    name, value = str(item[0]), item[1]
    if name in ("MAX_REPEAT", "MIN_REPEAT"):
        least, most, inner = value
        count = random.randint(least, min(int(most), least + 5))
        return "".join(_matched(tuple(one), random) for _ in range(count) for one in inner)
    if name == "SUBPATTERN":
        return "".join(_matched(tuple(one), random) for one in value[-1])
    if name == "BRANCH":
        return "".join(_matched(tuple(one), random) for one in random.choice(value[1]))
    if name == "IN":
        return _one_of(random.choice(value), random)
    return chr(value) if name == "LITERAL" else ""


def _one_of(choice: tuple[Any, Any], random: Random) -> str:
    name, value = str(choice[0]), choice[1]
    if name == "RANGE":
        return chr(random.randint(*value))
    return chr(value) if name == "LITERAL" else random.choice("0123456789")


def _list(schema: dict[str, Any], root: dict[str, Any], random: Random) -> list[Any]:
    least = schema.get("minItems", 0)
    return [_value(schema["items"], root, random) for _ in range(random.randint(least, least + 3))]


def _object(schema: dict[str, Any], root: dict[str, Any], random: Random) -> dict[str, Any]:
    fields, needed = schema.get("properties", {}), schema.get("required", ())
    for pattern, inner in schema.get("patternProperties", {}).items():
        return {matching(pattern, random): _value(inner, root, random) for _ in range(random.randint(0, 3))}
    here = [name for name in fields if name in needed or random.random() < 0.5]
    return {name: _value(fields[name], root, random) for name in here}


def _integer(schema: dict[str, Any], _root: dict[str, Any], random: Random) -> int:
    least, most = schema.get("minimum", -(2**53) + 1), schema.get("maximum", 2**53 - 1)
    return random.choice((least, most, random.randint(least, most)))


def _number(schema: dict[str, Any], _root: dict[str, Any], random: Random) -> float:
    least, most = schema.get("minimum", -1e9), schema.get("maximum", 1e9)
    return random.choice((most, random.uniform(least, most), 1e-300 if least <= 0 else most))


_BY_TYPE: dict[str, Any] = {
    "string": _text,
    "array": _list,
    "object": _object,
    "null": lambda *_: None,
    "boolean": lambda _schema, _root, random: random.random() < 0.5,
    "integer": _integer,
    "number": _number,
}
