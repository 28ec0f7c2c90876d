"""Secrets wrapped under a key that lies outside the database: AES-256-GCM (NIST SP 800-38D).

A wrapped text is `1.<key>.<nonce and ciphertext>`: the format, the short name of the wrapping key, base64url.
What it is and whose it is (`context`) is authenticated with it, so that no row can stand in for another.
"""

import hashlib
import secrets
from binascii import Error as BinasciiError
from collections.abc import Callable
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from seamwalk import private_files
from seamwalk.book.jose import base64url_decode, base64url_encode
from seamwalk.errors import BookError, KeyUnavailable

KEY_BYTES = 32
_NONCE_BYTES = 12
_FORMAT = "1"
_FILE_HEAD = "seamwalk-wrapping-key-1:"
_NAME_OF = b"the name of a seamwalk wrapping key"
_REMEDY = "Put back the wrapping key that was kept beside the copies; nothing is lost meanwhile."


class WrappingKey:
    """One wrapping key; `name` tells two of them apart and says nothing about either."""

    def __init__(self, secret: bytes) -> None:
        self._cipher = AESGCM(secret)
        self.name = hashlib.blake2b(_NAME_OF, key=secret, digest_size=6).hexdigest()

    def wrap(self, secret: str, context: str) -> str:
        """Wrap a text for one context."""
        nonce = secrets.token_bytes(_NONCE_BYTES)
        sealed = self._cipher.encrypt(nonce, secret.encode(), context.encode())
        return f"{_FORMAT}.{self.name}.{base64url_encode(nonce + sealed)}"

    def unwrap(self, wrapped: str, context: str) -> str:
        """Open what `wrap` made for this context; raise KeyUnavailable."""
        form, _, rest = wrapped.partition(".")
        name, _, text = rest.partition(".")
        if form != _FORMAT or name != self.name:
            raise KeyUnavailable(
                f"{context}: wrapped under key {name[:12]}, and {self.name} is here", _REMEDY
            )
        try:
            sealed = base64url_decode(text)
            opened = self._cipher.decrypt(sealed[:_NONCE_BYTES], sealed[_NONCE_BYTES:], context.encode())
        except (BookError, BinasciiError, InvalidTag, ValueError) as error:
            raise KeyUnavailable(
                f"{context}: the wrapped text is damaged", "Put the newest copy back."
            ) from error
        return opened.decode()


class KeyRing:
    """Where the wrapping key comes from; it is read when it is needed first, and again while it is away."""

    def __init__(self, read: Callable[[], WrappingKey]) -> None:
        self._read = read
        self._key: WrappingKey | None = None

    @classmethod
    def of(cls, key: WrappingKey) -> "KeyRing":
        """A ring that has its key."""
        return cls(lambda: key)

    @classmethod
    def from_file(cls, path: Path) -> "KeyRing":
        """A ring whose key lies in a file."""
        return cls(lambda: read_key_file(path))

    def wrap(self, secret: str, context: str) -> str:
        """Wrap a text for one context; raise KeyUnavailable."""
        return self.here().wrap(secret, context)

    def unwrap(self, wrapped: str, context: str) -> str:
        """Open a wrapped text; raise KeyUnavailable when the key is not here, or another one."""
        try:
            return self.here().unwrap(wrapped, context)
        except KeyUnavailable:
            self._key = None
            raise

    def here(self) -> WrappingKey:
        """The wrapping key; raise KeyUnavailable when it is not here."""
        if self._key is None:
            self._key = self._read()
        return self._key


def _nothing() -> WrappingKey:
    raise KeyUnavailable("no wrapping key was given", _REMEDY)


NO_KEYS = KeyRing(_nothing)


def read_key_file(path: Path) -> WrappingKey:
    """Read a wrapping key; raise KeyUnavailable when the file is missing, unreadable or no key."""
    try:
        text = path.read_text("ascii").strip()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not text"
        raise KeyUnavailable(f"the wrapping key {path} cannot be read: {why}", _REMEDY) from error
    try:
        secret = base64url_decode(text.removeprefix(_FILE_HEAD))
    except BookError:
        secret = b""
    if not text.startswith(_FILE_HEAD) or len(secret) != KEY_BYTES:
        raise KeyUnavailable(f"{path} holds no wrapping key", _REMEDY)
    return WrappingKey(secret)


def make_key_file(path: Path) -> None:
    """Make a new wrapping key of mode 0600; leave one that is there as it is."""
    if path.exists():
        return
    content = f"{_FILE_HEAD}{base64url_encode(secrets.token_bytes(KEY_BYTES))}\n".encode("ascii")
    try:
        private_files.make_file(path, content)
    except FileExistsError:
        return
