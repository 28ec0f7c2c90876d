"""Write codes.json: label codes that Python and the phone must read alike. Run after a change of codes.py."""

import json
import random
from pathlib import Path

from seamwalk.domain.stock.codes import KIND_OF_LETTER, Code, parse_code
from seamwalk.errors import CodeError

SEED = 5


def reading(typed: str) -> dict[str, str | None]:
    """What Python makes of a typed code."""
    try:
        code = parse_code(typed)
    except CodeError as error:
        return {"typed": typed, "text": None, "remedy": error.remedy}
    return {"typed": typed, "text": code.text, "kind": code.kind, "grouped": code.grouped}


def vectors() -> list[dict[str, str | None]]:
    """Good codes in every kind, and each of them spoilt in some way."""
    dice = random.Random(SEED)
    found = []
    for letter in KIND_OF_LETTER:
        for _ in range(4):
            text = Code(dice.choice(["HQ", "QD", "A7"]), letter, dice.randrange(100_000)).text
            at = dice.randrange(8)
            spoilt = [
                text.lower(),
                f" {text[:2]}-{text[2]} {text[3:]} ",
                text.replace("0", "O").replace("1", "l"),
                text[:at] + text[at + 1] + text[at] + text[at + 2 :],
                text[:at] + dice.choice("0123456789ACDEFGHJKMNPQRTVWXY") + text[at + 1 :],
                text[:-1],
                text[:-1] + "!",
            ]
            found += [reading(typed) for typed in (text, *spoilt)]
    return found


if __name__ == "__main__":
    target = Path(__file__).parent / "codes.json"
    lines = ",\n".join(json.dumps(vector) for vector in vectors())
    target.write_text(f"[\n{lines}\n]\n", "utf-8")
