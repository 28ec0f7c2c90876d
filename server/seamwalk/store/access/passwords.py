"""Passwords: the rules of new ones, and their hashes (argon2id, RFC 9106's second recommended option).

Older hashes, scrypt by werkzeug, still verify and are replaced when their owner logs in.
"""

import threading
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from werkzeug.security import check_password_hash
from zxcvbn import zxcvbn

from seamwalk.errors import Conflict, LimitReached

MIN_LENGTH, MAX_LENGTH = 12, 128
# zxcvbn's scale: 3 of 4 means more than 100,000,000 guesses by somebody who knows how people choose
_MIN_SCORE = 3
_LOOKED_AT = 72
_ARGON2 = "$argon2id$"
_OLD_DUMMY = (
    "scrypt:32768:8:1$0123456789abcdef$"
    "0000000000000000000000000000000000000000000000000000000000000000"
    "0000000000000000000000000000000000000000000000000000000000000000"
)
_HASHER = PasswordHasher()
# each hash takes 64 MiB: a crowd at the login must not take the server's memory, nor its threads
_AT_ONCE = threading.BoundedSemaphore(2)
_PATIENCE_S = 2.0


def check_new_password(password: str, *known: str) -> None:
    """Raise Conflict when a new password is too short, too long or too easily guessed.

    `known` is what an attacker would try first, such as the login's name.
    """
    if not MIN_LENGTH <= len(password) <= MAX_LENGTH:
        message = f"password: {MIN_LENGTH} to {MAX_LENGTH} characters are needed"
        raise Conflict(message, "Choose four words or so that do not belong together.")
    if not password.isprintable():
        raise Conflict("password: it holds characters that cannot be typed", "Choose another one.")
    guessed = zxcvbn(password[:_LOOKED_AT], user_inputs=["seamwalk", *filter(None, known)])
    if guessed["score"] < _MIN_SCORE:
        message = "password: it is among those that are guessed early"
        raise Conflict(message, "Choose four words or so that do not belong together.")


def new_hash(password: str, *known: str) -> str:
    """Look at a new password and hash it; raise Conflict when it is weak."""
    check_new_password(password, *known)
    return hash_password(password)


def hash_password(password: str) -> str:
    """Hash a password; raise LimitReached when others are being looked at."""
    with _turn():
        return _HASHER.hash(_normal(password))


def verifies(hashed: str | None, password: str, *, old_ones_are_left: bool) -> bool:
    """Tell whether a password is the one of a hash; None stands for a login that there is not.

    The work is the same for every login, there or not: argon2id always, and scrypt too while any login has an
    older hash. Raise LimitReached when others are being looked at.
    """
    is_new = hashed is not None and is_current_kind(hashed)
    with _turn():
        new = _verifies_argon2(hashed if hashed and is_new else _dummy(), password)
        if not old_ones_are_left:
            return is_new and new
        plain = password.encode("utf-8", "replace").decode()
        old = check_password_hash(hashed if hashed and not is_new else _OLD_DUMMY, plain)
    return hashed is not None and (new if is_new else old)


def is_current_kind(hashed: str) -> bool:
    """Whether a hash is argon2id."""
    return hashed.startswith(_ARGON2)


def is_current(hashed: str) -> bool:
    """Whether a hash is made as hashes are made today."""
    return is_current_kind(hashed) and not _HASHER.check_needs_rehash(hashed)


def _verifies_argon2(hashed: str, password: str) -> bool:
    try:
        return _HASHER.verify(hashed, _normal(password))
    except (VerificationError, InvalidHashError):
        return False


@cache
def _dummy() -> str:
    return _HASHER.hash("of a login that there is not")


def _normal(password: str) -> bytes:
    """One form of what looks the same (Unicode NFC)."""
    return unicodedata.normalize("NFC", password).encode("utf-8", "replace")


@contextmanager
def _turn() -> Iterator[None]:
    if not _AT_ONCE.acquire(timeout=_PATIENCE_S):
        raise LimitReached("login: many are logging in right now", "Try again in a moment.", 2)
    try:
        yield
    finally:
        _AT_ONCE.release()
