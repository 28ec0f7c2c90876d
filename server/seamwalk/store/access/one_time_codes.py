"""One-time codes as a second factor: TOTP (RFC 6238, SHA-1, 6 digits, 30 s), and recovery codes."""

import secrets
from base64 import b32decode, b32encode
from datetime import datetime
from urllib.parse import quote

from cryptography.hazmat.primitives.constant_time import bytes_eq
from cryptography.hazmat.primitives.hashes import SHA1
from cryptography.hazmat.primitives.twofactor.totp import TOTP

from seamwalk.book.jose import sha256_hex

STEP_S, DIGITS = 30, 6
# RFC 6238 section 5.2 recommends one step for the delay of the network; one more for a clock that is ahead
_STEPS_AROUND = (-1, 0, 1)
_SECRET_BYTES = 20
RECOVERY_CODES = 8
_RECOVERY_LETTERS = 24
_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"


def new_secret() -> str:
    """Make a shared secret, base32 as authenticators take it."""
    return b32encode(secrets.token_bytes(_SECRET_BYTES)).decode("ascii")


def code_at(secret: str, step: int, digits: int = DIGITS) -> str:
    """The code of a time step (RFC 6238 section 4.2: T = unix time / 30)."""
    totp = TOTP(b32decode(secret), digits, SHA1(), STEP_S, enforce_key_length=False)  # noqa: S303
    return totp.generate(step * STEP_S).decode("ascii")


def matching_step(secret: str, typed: str, now: datetime, last_used: int | None) -> int | None:
    """The time step that a typed code is of, None when it is wrong, or it or a later one was used already."""
    this = int(now.timestamp()) // STEP_S
    found = None
    for step in (this + around for around in _STEPS_AROUND):
        if bytes_eq(code_at(secret, step).encode(), typed.encode("utf-8", "replace")):
            found = step
    return found if found is not None and (last_used is None or found > last_used) else None


def address(secret: str, login: str, issuer: str) -> str:
    """What an authenticator scans: an otpauth URI."""
    label = f"{quote(issuer)}:{quote(login)}"
    return f"otpauth://totp/{label}?secret={secret}&issuer={quote(issuer)}&digits={DIGITS}&period={STEP_S}"


def recovery_codes() -> list[str]:
    """Make codes of 120 bits, each good once; only their hashes are kept, and so many bits need no salt."""
    return [_grouped(_letters()) for _ in range(RECOVERY_CODES)]


def recovery_hash(typed: str) -> str:
    """The hash of a recovery code, however it was typed."""
    plain = "".join(letter for letter in typed.upper() if letter in _ALPHABET)
    return sha256_hex(plain.encode("ascii"))


def _letters() -> str:
    return "".join(secrets.choice(_ALPHABET) for _ in range(_RECOVERY_LETTERS))


def _grouped(letters: str) -> str:
    return "-".join(letters[at : at + 4] for at in range(0, len(letters), 4))
