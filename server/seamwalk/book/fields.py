"""What bodies of entries are made of: names, hashes, keys, and the base of them all."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

BookId = Annotated[str, Field(pattern=r"^b[0-9a-f]{16}$")]
PersonId = Annotated[str, Field(pattern=r"^p[0-9a-f]{16}$")]
DeviceId = Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
CheckId = Annotated[str, Field(pattern=r"^[A-Z][A-Z0-9]{0,7}/[A-Za-z0-9./:+_-]{1,80}$")]
WallKey = Annotated[str, Field(pattern=r"^[A-Z][A-Z0-9]{0,7}$")]
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Code = Annotated[str, Field(pattern=r"^[0-9A-Z]{6,20}$")]
ShortText = Annotated[str, Field(min_length=1, max_length=200)]


class Body(BaseModel):
    """Base of all bodies: frozen, strict, unknown fields refused."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid")


class Jwk(Body):
    """A public P-256 key (RFC 7517)."""

    crv: Literal["P-256"]
    kty: Literal["EC"]
    x: Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
    y: Annotated[str, Field(pattern=r"^[A-Za-z0-9_-]{43}$")]
