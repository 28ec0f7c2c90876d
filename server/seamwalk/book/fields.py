"""What bodies of entries are made of: names, hashes, keys, and the base of them all."""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo

from seamwalk.book.rules import NEWEST, RULES

BookId = Annotated[str, Field(pattern=r"^b[0-9a-f]{16}$")]
PersonId = Annotated[str, Field(pattern=r"^p[0-9a-f]{16}$")]
DeviceId = Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
CheckId = Annotated[str, Field(pattern=r"^[A-Z][A-Z0-9]{0,7}/[A-Za-z0-9./:+_-]{1,80}$")]
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
        datetime.fromisoformat(value)
    return value


# a field of this type still takes bounds, as in Annotated[Number, Field(ge=0)]
Number = Annotated[float, Field(allow_inf_nan=False, strict=False), BeforeValidator(_number)]
# a pattern says of what form, this that a calendar has it
Moment = Annotated[str, AfterValidator(_moment)]


class Body(BaseModel):
    """Base of all bodies: frozen, strict, unknown fields refused."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid")


class Jwk(Body):
    """A public P-256 key (RFC 7517)."""

    crv: Literal["P-256"]
    kty: Literal["EC"]
    x: Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
    y: Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
