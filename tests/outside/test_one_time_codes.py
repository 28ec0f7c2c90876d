"""One-time codes against published values and against another library."""

from datetime import UTC, datetime, timedelta

import pyotp
import pytest

from seamwalk.store.access.one_time_codes import STEP_S, address, code_at, matching_step, new_secret

# RFC 6238, appendix B, table 1, the rows of mode SHA1: Unix time, TOTP of 8 digits
RFC_6238 = [
    (59, "94287082"),
    (1111111109, "07081804"),
    (1111111111, "14050471"),
    (1234567890, "89005924"),
    (2000000000, "69279037"),
    (20000000000, "65353130"),
]
# the same appendix: "12345678901234567890" in ASCII, here in base32 (RFC 4648)
SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"
NOW = datetime(2026, 11, 20, 22, 0, 10, tzinfo=UTC)


@pytest.mark.parametrize(("unix", "code"), RFC_6238)
def test_the_values_of_the_standard(unix: int, code: str) -> None:
    assert code_at(SECRET, unix // STEP_S, digits=8) == code
    assert code_at(SECRET, unix // STEP_S) == code[2:]


def test_another_library_makes_the_same_codes_and_reads_the_same_address() -> None:
    secret = new_secret()
    theirs = pyotp.parse_uri(address(secret, "anna", "Linden & Söhne"))
    assert isinstance(theirs, pyotp.TOTP)
    assert (theirs.name, theirs.issuer) == ("anna", "Linden & Söhne")
    for minutes in range(50):
        at = NOW + timedelta(minutes=minutes)
        step = matching_step(secret, theirs.at(at), at, None)
        assert step == int(at.timestamp()) // STEP_S


def test_a_code_is_good_one_step_around_and_never_twice() -> None:
    this = int(NOW.timestamp()) // STEP_S
    for around, good in ((-2, False), (-1, True), (0, True), (1, True), (2, False)):
        found = matching_step(SECRET, code_at(SECRET, this + around), NOW, None)
        assert found == (this + around if good else None)
    assert matching_step(SECRET, code_at(SECRET, this), NOW, this) is None
    assert matching_step(SECRET, code_at(SECRET, this - 1), NOW, this) is None
    assert matching_step(SECRET, code_at(SECRET, this + 1), NOW, this) == this + 1


@pytest.mark.parametrize("typed", ["", "12345", "1234567", "000000", "\ud800", "١٢٣٤٥٦"])
def test_what_is_no_code_is_none(typed: str) -> None:
    assert matching_step(SECRET, typed, NOW, None) is None
