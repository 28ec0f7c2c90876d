"""What bodies of entries are made of: names, hashes, keys, and the base of them all."""

import re
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo

from seamwalk.book.rules import NEWEST, RULES

BookId = Annotated[str, Field(pattern=r"^b[0-9a-f]{16}$")]
PersonId = Annotated[str, Field(pattern=r"^p[0-9a-f]{16}$")]
DeviceId = Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
CheckId = Annotated[str, Field(pattern=r"^[A-Z][A-Z0-9]{0,7}/[A-Za-z0-9./:+_-]{1,80}$")]
TileId = Annotated[str, Field(pattern=r"^[0-9]{1,4}\.[0-9]{1,4}(x[0-9]{1,3}x[0-9]{1,3})?$")]
WallKey = Annotated[str, Field(pattern=r"^[A-Z][A-Z0-9]{0,7}$")]
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Code = Annotated[str, Field(pattern=r"^[0-9A-Z]{6,20}$")]
ShortText = Annotated[str, Field(min_length=1, max_length=200)]
Count = Annotated[int, Field(ge=1)]


def _is_newest(info: ValidationInfo) -> bool:
    """Whether a body is checked under the newest rules; under rules 1 the fields below took more."""
    context: dict[str, int] = info.context or {}
    return context.get(RULES, NEWEST) >= NEWEST


def _number(value: Any, info: ValidationInfo) -> Any:
    if _is_newest(info) and (isinstance(value, bool) or not isinstance(value, int | float)):
        raise ValueError("a number is needed")
    return value


def _moment(value: str, info: ValidationInfo) -> str:
    if _is_newest(info):
        if not value.isascii():
            raise ValueError("ASCII digits are needed")
        numbers = map(int, re.findall(r"\d+", value))
        year, month, day, hour, minute, second = (*numbers, 0, 0, 0)[:6]
        datetime(year, month, day, hour, minute, second, tzinfo=UTC)
    return value


# last in the annotation of a float, after its bounds: Annotated[float, Field(ge=0), *NUMBER]
NUMBER = (Field(allow_inf_nan=False, strict=False), BeforeValidator(_number))
# last in the annotation of a text whose pattern says of what form it is: this says that a calendar has it
MOMENT = (Field(json_schema_extra={"format": "moment"}), AfterValidator(_moment))


class Body(BaseModel):
    """Base of all bodies: frozen, strict, unknown fields refused."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid")


def published(*rules: dict[str, Any]) -> ConfigDict:
    """A model's config that puts what its validator checks into the JSON Schema."""
    return ConfigDict(json_schema_extra={"allOf": list(rules)})


def only_when(member: str, values: list[Any], then: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    """JSON Schema: what else holds when a member is one of these values, and when it is not."""
    return {"if": {"properties": {member: {"enum": values}}}, "then": then, "else": other}


def present(*members: str) -> dict[str, Any]:
    """JSON Schema: these members are there and not null."""
    return {"required": list(members), "properties": {name: {"not": {"type": "null"}} for name in members}}


def absent(*members: str) -> dict[str, Any]:
    """JSON Schema: these members are left out, null, or hold nothing."""
    return {"properties": {name: {"maxItems": 0, "maxProperties": 0, **_NOT_ONE} for name in members}}


# a single value is none of these
_NOT_ONE: dict[str, Any] = {"type": ["null", "array", "object"]}
UNIQUE = Field(json_schema_extra={"uniqueItems": True})
NO_OTHER_NAMES = Field(json_schema_extra={"additionalProperties": False})


class Jwk(Body):
    """A public P-256 key (RFC 7517)."""

    crv: Literal["P-256"]
    kty: Literal["EC"]
    x: Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
    y: Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
