"""Places and checks of a wall in words, for prints."""

from seamwalk.domain.checks.checks import Check
from seamwalk.texts import Translate


def place_in_words(place: str, t: Translate) -> str:
    """A place as somebody reads it who stands before the wall: `Between columns 3 and 4, row 2`."""
    kind, first, second, part = [*place.split("/"), "", "", ""][:4]
    (a_column, a_row), (b_column, b_row) = _cell(first), _cell(second)
    at_a = {"column": a_column, "row": a_row}
    words = {
        "side": lambda: t("places.side", left=a_column, right=b_column, row=max(a_row, b_row)),
        "stack": lambda: t("places.stack", column=max(a_column, b_column), lower=a_row, upper=b_row),
        "base": lambda: t("places.base", column=b_column),
        "hang": lambda: t("places.hang", column=b_column),
        "bar": lambda: t(f"places.bar_{first[:1]}", column=first[1:]),
        "free": lambda: t("places.free", edge=t(f"places.edges.{second}"), **at_a) + (part and f" ({part})"),
        "corner": lambda: t("places.corner", corner=t(f"places.corners.{second}"), **at_a),
        "tile": lambda: t("places.tile", **at_a),
        "clamp": lambda: t("places.clamp", **at_a),
        "support": lambda: t("places.support", column=first),
        "feed": lambda: t("places.feed"),
    }
    return words.get(kind, lambda: t(f"places.{kind}", number=first))()


def check_in_words(check: Check, t: Translate) -> str:
    """What is looked at there."""
    expect = t(f"checks.expect_{check.expect}") if check.kind == "guard" else check.expect
    return t(f"checks.{check.kind}", expect=expect)


def _cell(tile: str) -> tuple[int, int]:
    numbers = tile.partition("x")[0].split(".")
    return (int(numbers[0]), int(numbers[1])) if len(numbers) == 2 and numbers[0].isdigit() else (0, 0)
