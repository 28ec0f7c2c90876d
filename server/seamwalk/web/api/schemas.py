"""What phones send and get, as pydantic models: read strictly, and published as OpenAPI.

Members that are not known here are passed over, so that a newer phone and an older server get along.
"""

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from seamwalk.book.fields import BookId, DeviceId, Hash, Jwk, PersonId
from seamwalk.store.ledger.readers import MAX_TEXTS
from seamwalk.web.inputs import Count, QueryParams

MAX_NAME = 60
MAX_ENTRIES = 20_000


def _plain(name: str) -> str:
    plain = " ".join(name.split())
    if not 1 <= len(plain) <= MAX_NAME:
        raise ValueError(f"1 to {MAX_NAME} characters are needed")
    return plain


class ApiRequest(BaseModel):
    """Base of the JSON that a phone sends."""

    model_config = ConfigDict(frozen=True, strict=True)


CompactJws = Annotated[str, Field(max_length=20_000, description="A compact JWS (RFC 7515).")]


class JoinRequest(ApiRequest):
    """A phone with an invite: `proof` is a JWS of typ `seamwalk-join` over `{"token": ...}` by its key."""

    token: Annotated[str, Field(min_length=1, max_length=200)]
    jwk: Jwk
    name: Annotated[str, AfterValidator(_plain), Field(min_length=1)]
    proof: CompactJws


class NonceRequest(ApiRequest):
    """A device that wants to sign in."""

    device: DeviceId


class SessionRequest(ApiRequest):
    """A device that signs in: `proof` is a JWS of typ `seamwalk-session` over `{"nonce": ...}` by its key."""

    device: DeviceId
    proof: CompactJws


class SyncRequest(ApiRequest):
    """How many entries the phone has, what it brings, and the newest head that it has checked.

    `leaves` tells that it takes bare leaves; `texts` are indexes of leaves whose texts it asks for.
    """

    after: Count
    entries: Annotated[list[str], Field(max_length=MAX_ENTRIES, description="Compact JWS, one an entry.")]
    head: CompactJws | None = None
    texts: Annotated[list[Count], Field(max_length=MAX_TEXTS, default_factory=list)]
    leaves: bool = False


class BlobPartQuery(QueryParams):
    """From which byte on the sent bytes go, of how many in all."""

    at: Count
    total: Annotated[Count, Field(ge=1)]


class ApiResponse(BaseModel):
    """Base of the JSON that a phone gets."""

    seamwalk: Literal[1]


class OkResponse(ApiResponse):
    """Success, with nothing to add."""


class JoinResponse(ApiResponse):
    """The book that a phone is in now, and as whom."""

    book: BookId
    title: str
    owner_fingerprint: DeviceId
    device: DeviceId
    person: PersonId
    role: str


class NonceResponse(ApiResponse):
    """A challenge to sign within five minutes."""

    nonce: str


class BlobPartResponse(ApiResponse):
    """How many bytes of a blob are here, and whether that is all of it."""

    received: Count
    whole: bool


class EntryVerdict(BaseModel):
    """What became of one text; `id` and `index` are those of the text that stands for its entry.

    `fork` tells that the device has written another entry under the same number.
    """

    sha256: Hash
    id: Hash | None
    verdict: Literal["kept", "again", "held", "refused"]
    index: Count | None
    why: str | None
    detail: str | None
    remedy: str | None
    fork: bool


class EntryLeaf(BaseModel):
    """The leaf hash of an entry that the phone's role does not read."""

    leaf: Hash


class EntryText(BaseModel):
    """The text of a leaf that was asked for."""

    index: Count
    entry: str


class SyncResponse(ApiResponse):
    """A verdict for each text in their order, and a page of the book if the phone may read."""

    reading: Literal["ok", "sign_in", "restored"]
    verdicts: list[EntryVerdict]
    entries: list[str | EntryLeaf] | None
    more: bool
    head: str | None
    held: Count
    restored: list[str]
    texts: list[EntryText]


class HealthResponse(ApiResponse):
    """What runs here."""

    version: str
    database: Literal["sqlite", "postgresql"]
    database_version: str
    writers: str


class ProceduresResponse(ApiResponse):
    """The procedures that come with the program, texts by language; `edition` is their hash."""

    edition: Hash
    v: int
    procedures: dict[str, object]
    texts: dict[str, dict[str, str]]


class ErrorResponse(ApiResponse):
    """What is wrong and what to do; `field` names the member that was wrong."""

    error: str
    message: str
    remedy: str
    field: str | None = None
