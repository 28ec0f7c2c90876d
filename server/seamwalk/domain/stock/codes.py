"""Label codes: short, unmistakable by eye and by radio, with a check character.

A code is a company prefix of two characters, a kind letter, five digits and one check character,
shown grouped: `HQ-T-00042-7`. The check character is that of an ISO/IEC 7064 pure system with radix 2,
its modulus 29 being our alphabet's size: a prime, so every wrong character and every swapped pair shows.
"""

from dataclasses import dataclass

from seamwalk.errors import CodeError

ALPHABET = "0123456789ACDEFGHJKMNPQRTVWXY"
RADIX = 2
KIND_OF_LETTER = {"C": "case", "T": "tile", "M": "module", "E": "electronics_unit", "P": "part", "Q": "place"}
LETTER_OF_KIND = {kind: letter for letter, kind in KIND_OF_LETTER.items()}
MAX_SERIAL = 99_999
_LOOKALIKES = str.maketrans({"O": "0", "I": "1", "L": "1", "B": "8", "S": "5", "Z": "2", "U": "V"})
_LENGTH = 9
# ICAO spelling alphabet (ICAO Annex 10, from memory), digits as plain words.
_SPOKEN = {
    "0": "zero", "1": "one", "2": "two", "3": "three", "4": "four", "5": "five", "6": "six", "7": "seven",
    "8": "eight", "9": "nine", "A": "Alfa", "C": "Charlie", "D": "Delta", "E": "Echo", "F": "Foxtrot",
    "G": "Golf", "H": "Hotel", "J": "Juliett", "K": "Kilo", "M": "Mike", "N": "November", "P": "Papa",
    "Q": "Quebec", "R": "Romeo", "T": "Tango", "V": "Victor", "W": "Whiskey", "X": "X-ray", "Y": "Yankee",
}  # fmt: skip


@dataclass(frozen=True)
class Code:
    """A label code taken apart."""

    prefix: str
    letter: str
    serial: int

    @property
    def kind(self) -> str:
        """case, tile, module, electronics_unit, part or place."""
        return KIND_OF_LETTER[self.letter]

    @property
    def text(self) -> str:
        """The code without groups: `HQT000427`."""
        body = f"{self.prefix}{self.letter}{self.serial:05d}"
        return body + check_character(body)

    @property
    def grouped(self) -> str:
        """The code as it is printed: `HQ-T-00042-7`."""
        return f"{self.prefix}-{self.letter}-{self.serial:05d}-{self.text[-1]}"

    @property
    def spoken(self) -> str:
        """The code as it is said over radio."""
        return " ".join(_SPOKEN[character] for character in self.text)


def check_character(body: str, alphabet: str = ALPHABET) -> str:
    """The check character of `body` in a pure system of radix 2 (ISO/IEC 7064).

    Sum of a_i 2^i = 1 mod M, i from 0 at the check character, M the size of the alphabet.
    """
    modulus, total = len(alphabet), 0
    for character in body:
        total = (total + alphabet.index(character)) * RADIX
    return alphabet[(1 - total) % modulus]


def parse_code(typed: str) -> Code:
    """Read a code as typed, forgiving case, spaces, dashes and lookalikes; raise CodeError otherwise."""
    text = "".join(typed.upper().split()).replace("-", "").translate(_LOOKALIKES)
    odd = sorted(set(text) - set(ALPHABET))
    if odd:
        raise CodeError(f"code: {odd[0]!r} is in no label code", "Type the code as it stands under the QR.")
    if len(text) != _LENGTH:
        remedy = "Type all nine characters, as in HQ-T-00042-7."
        raise CodeError(f"code: {len(text)} characters where {_LENGTH} are needed", remedy)
    if check_character(text[:-1]) != text[-1] or not _fits(text):
        raise CodeError(f"code: {_grouped(text)} is not a label code", _suggestion(text))
    return Code(text[:2], text[2], int(text[3:8]))


def _fits(text: str) -> bool:
    return text[2] in KIND_OF_LETTER and text[3:8].isdigit()


def _grouped(text: str) -> str:
    return f"{text[:2]}-{text[2]}-{text[3:8]}-{text[8]}"


def _suggestion(text: str) -> str:
    likely = sorted(set(_one_swap(text)))
    if not likely:
        return "Read the code again: a character is wrong."
    return f"Two characters may be swapped; look whether it reads {' or '.join(map(_grouped, likely[:3]))}."


def _one_swap(text: str) -> list[str]:
    swapped = [text[:i] + text[i + 1] + text[i] + text[i + 2 :] for i in range(_LENGTH - 1)]
    return [s for s in swapped if s != text and _fits(s) and check_character(s[:-1]) == s[-1]]
