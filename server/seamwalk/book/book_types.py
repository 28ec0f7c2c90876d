"""What entries about a book itself hold: whose it is, who may write in it, what became of it."""

from typing import Annotated, Literal

from pydantic import Field

from seamwalk.book.fields import Body, Count, DeviceId, Hash, Jwk, PersonId, ShortText
from seamwalk.book.roles import Role


class BookOpened(Body):
    """The first entry: whose book this is and under which keys."""

    kind: Literal["show", "company"]
    title: ShortText
    slug: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,59}$")]
    epoch: Count
    owner_jwk: Jwk
    head_jwk: Jwk


Rules = Annotated[int, Field(ge=2, le=1000)]


class BookOpened2(BookOpened):
    """The first entry: whose book this is, under which keys, and by the rules of which number."""

    rules: Rules


class RulesBegun(Body):
    """From here on what is kept keeps to the rules of this number; what came before may not."""

    rules: Rules


class DeviceAdmitted(Body):
    """A device may write from here on, for a person in a role."""

    device: DeviceId
    jwk: Jwk
    person: PersonId
    name_blob: Hash
    role: Annotated[Role, Field(strict=False)]


class DeviceRevoked(Body):
    """A device's entries are held from here on."""

    device: DeviceId
    reason: ShortText


class EntryAdmitted(Body):
    """The office lets in an entry that was held."""

    entry: Hash
    reason: ShortText


class BlobErased(Body):
    """A named text or photo is gone on purpose."""

    blob: Hash


class Restored(Body):
    """The server came back from an older copy; the owner vouches for what stands before `base_size`.

    A higher epoch than any before it begins here, with a head key of its own; a late one changes nothing.
    """

    epoch: Annotated[Count, Field(ge=2)]
    base_size: Count
    base_root: Hash
    head_jwk: Jwk


class HeadKeyChanged(Body):
    """Heads of this epoch are signed by another key from here on."""

    epoch: Count
    head_jwk: Jwk


BOOK_BODIES: dict[str, type[Body]] = {
    "book_opened": BookOpened,
    "rules_begun": RulesBegun,
    "device_admitted": DeviceAdmitted,
    "device_revoked": DeviceRevoked,
    "entry_admitted": EntryAdmitted,
    "blob_erased": BlobErased,
    "restored": Restored,
    "head_key_changed": HeadKeyChanged,
}
