"""Label codes: every wrong character and every swapped pair shows."""

import itertools
import json
import runpy
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from seamwalk.domain.stock.codes import ALPHABET, Code, check_character, parse_code
from seamwalk.errors import CodeError

ISO_7064_MOD_37_2 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"


@pytest.mark.parametrize(("body", "check"), [("G123498654321", "H"), ("LW0001", "*"), ("0", "1"), ("Z", "5")])
def test_the_method_is_that_of_iso_7064_pure_systems(body: str, check: str) -> None:
    """Source: ISO/IEC 7064 MOD 37-2: ISBT 128 (Red Book Annex 2), the rest by python-stdnum."""
    assert check_character(body, ISO_7064_MOD_37_2) == check


@given(st.text(ISO_7064_MOD_37_2[:-1], min_size=1, max_size=20))
def test_the_method_is_that_of_an_independent_library(body: str) -> None:
    """Source: python-stdnum, ISO/IEC 7064 MOD 37-2."""
    assert check_character(body, ISO_7064_MOD_37_2) == mod_37_2.calc_check_digit(body)


def test_every_wrong_character_and_every_swap_is_caught_in_every_place() -> None:
    """The check sum is linear: it is enough that no weighted difference is 0 in any of nine places."""
    modulus = len(ALPHABET)
    weights = [pow(2, place, modulus) for place in range(9)]
    for difference in range(1, modulus):
        assert all(weight * difference % modulus for weight in weights)
        for low, high in itertools.pairwise(weights):
            assert (high - low) * difference % modulus


def test_exhaustively_for_one_code() -> None:
    text = Code("HQ", "T", 42).text
    for place in range(9):
        for other in set(ALPHABET) - {text[place]}:
            wrong = text[:place] + other + text[place + 1 :]
            assert check_character(wrong[:-1]) != wrong[-1]
    for place in range(8):
        swapped = text[:place] + text[place + 1] + text[place] + text[place + 2 :]
        assert swapped == text or check_character(swapped[:-1]) != swapped[-1]


@pytest.mark.parametrize("typed", ["HQ-T-00042-1", "hq t oo042 l", " hqt00042i ", "HQT000421"])
def test_typing_is_forgiven(typed: str) -> None:
    assert parse_code(typed) == Code("HQ", "T", 42)


@pytest.mark.parametrize(
    ("typed", "message", "remedy"),
    [
        ("HQ-T-00042-7", "HQ-T-00042-7 is not a label code", "Read the code again"),
        ("HQ-T-00024-1", "HQ-T-00024-1 is not a label code", "HQ-T-00042-1"),
        ("HQT", "3 characters where 9 are needed", "all nine"),
        ("HQ-T-00042-!", "'!' is in no label code", "under the QR"),
    ],
)
def test_a_wrong_code_is_refused_with_the_mend(typed: str, message: str, remedy: str) -> None:
    with pytest.raises(CodeError) as caught:
        parse_code(typed)
    assert message in caught.value.message
    assert remedy in caught.value.remedy


def test_the_vectors_that_the_phone_reads_are_these() -> None:
    path = Path(__file__).parents[1] / "vectors"
    vectors = json.loads((path / "codes.json").read_text())
    assert vectors == runpy.run_path(str(path / "make_codes.py"))["vectors"]()
    assert {vector["text"] is None for vector in vectors} == {True, False}
