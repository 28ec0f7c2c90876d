"""What is published beside the document's words: its table of roles, and the schemas of bodies."""

import math
from collections.abc import Iterator
from typing import Any

from jsonschema import Draft202012Validator, FormatChecker, ValidationError, validators

from second_reader.keys import Key
from second_reader.strict import Refusal, is_moment


class Published:
    """The roles of FORMAT.md, given its text, and what `seamwalk schema entries` prints, read as JSON."""

    def __init__(self, document: str, schemas: dict[str, Any]) -> None:
        self._may = dict(_roles(document))
        self._lax = {name: _LAX(_as_ecma(schema, "")) for name, schema in schemas.items()}
        told = {name: _as_ecma(schema, "(?a)") for name, schema in schemas.items()}
        self._strict = {name: _STRICT(schema, format_checker=_MOMENTS) for name, schema in told.items()}

    def knows(self, entry_type: str, version: int = 1) -> str | None:
        """The name under which the schema of a type's version is published; None if it is not."""
        name = entry_type if version == 1 else f"{entry_type}/{version}"
        return name if "/" not in entry_type and name in self._lax else None

    def may_write(self, role: str, entry_type: str, body: dict[str, Any]) -> bool:
        """Whether a role writes a type, and of one with a row for each statement or duty also this one."""
        member = {"signed_off": "statement", "stop_released": "duty"}.get(entry_type)
        named = f"`{entry_type}`" + (f" of `{body.get(member)}`" if member else "")
        return all(role in self._may.get(row, ()) for row in (f"`{entry_type}`", named))

    def fits(self, name: str, body: dict[str, Any], rules: int) -> bool:
        """Whether a body is what its schema asks for, and the keys in it are keys."""
        schemas = self._lax if rules == 1 else self._strict
        if not schemas[name].is_valid(body) or not _covers(body):
            return False
        try:
            return all(Key(body[name], "") for name in ("jwk", "owner_jwk", "head_jwk") if name in body)
        except Refusal:
            return False


def _roles(document: str) -> Iterator[tuple[str, set[str]]]:
    """For each first cell of the table of roles the roles that have a yes."""
    table = document.partition("<!-- roles")[2].partition("<!-- roles end")[0]
    rows = [line.strip("|").split("|") for line in table.splitlines() if line.startswith("|")]
    for first, *marks in rows[2:]:
        yield (
            first.strip(),
            {role.strip() for role, mark in zip(rows[0][1:], marks, strict=True) if "yes" in mark},
        )


def _covers(body: dict[str, Any]) -> bool:
    seen = {name for part in body.get("covers", ()) for name in (part, part.partition(":")[0])}
    return all({item["part"], item["part"].partition(":")[0]} & seen for item in body.get("damage", ()))


def _as_ecma(schema: Any, flags: str) -> Any:
    """A schema whose patterns Python reads as ECMA-262 does: `$` at the very end, with (?a) ASCII digits."""
    if isinstance(schema, list):
        return [_as_ecma(item, flags) for item in schema]
    if not isinstance(schema, dict):
        return schema
    made = {name: _as_ecma(value, flags) for name, value in schema.items()}
    if isinstance(schema.get("pattern"), str):
        made["pattern"] = flags + schema["pattern"].replace("$", r"\Z")
    if "patternProperties" in schema:
        named = made["patternProperties"].items()
        made["patternProperties"] = {flags + name.replace("$", r"\Z"): value for name, value in named}
    return made


def _is_lax_number(_: Any, value: Any) -> bool:
    """By rules 1 true, false and a text that says a number are numbers."""
    if isinstance(value, str) and (not value.strip().isascii() or ("_" in value and value != value.strip())):
        return False
    try:
        return isinstance(value, int | float | str) and math.isfinite(float(value))
    except (ValueError, OverflowError):
        return False


def _bound(fails: Any) -> Any:
    def check(validator: Any, limit: float, value: Any, _: Any) -> Iterator[ValidationError]:
        if validator.is_type(value, "number") and fails(float(value), limit):
            yield ValidationError("out of bounds")

    return check


_BOUNDS = {"minimum": float.__lt__, "exclusiveMinimum": float.__le__, "maximum": float.__gt__}
_TYPES = Draft202012Validator.TYPE_CHECKER.redefine("integer", lambda _, value: type(value) is int)
_STRICT = validators.extend(Draft202012Validator, type_checker=_TYPES)
_LAX = validators.extend(
    Draft202012Validator,
    {name: _bound(fails) for name, fails in _BOUNDS.items()},
    type_checker=_TYPES.redefine("number", _is_lax_number),
)
_MOMENTS = FormatChecker(formats=())
_MOMENTS.checkers = {"moment": (lambda value: not isinstance(value, str) or is_moment(value), ())}
