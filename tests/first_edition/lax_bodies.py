"""What bodies of the lax show's entries were given that no rule of later editions, or no page, has room for.

Runs only under the first edition's code, like `make.py`.
"""

from typing import Any

from lax_book import ARABIC, Attempt, Lax


def try_numbers(lax: Lax) -> None:
    def reading(value: Any) -> dict[str, Any]:
        return {"readings": [{"name": "gap_mm", "unit": "mm", "value": value}]}

    lax.found("reading_as_text", "numbers", 'a reading of "12"', **reading("12"))
    lax.found("reading_as_text_with_spaces", "numbers", 'a reading of " 1_2.5e0 "', **reading(" 1_2.5e0 "))
    lax.found("reading_true", "numbers", "a reading of true", **reading(True))
    lax.found("reading_nan", "numbers", "a reading of NaN", **reading(float("nan")))
    lax.found("reading_nan_as_text", "numbers", 'a reading of "NaN"', **reading("NaN"))
    lax.found("reading_huge", "numbers", "a reading of 10^400", **reading(10**400))
    plain = dict.fromkeys(("length_mm", "width_mm", "height_mm", "price", "currency"))
    for name, what, mass in (
        ("mass_as_text", 'a mass of "12"', "12"),
        ("mass_true", "a mass of true", True),
    ):
        told = {**plain, "kind": "tile", "type": name, "mass_kg": mass}
        lax.owner(name, "numbers", what, "type_described", **told)
    counted = {"stage": "prep", "part": "lock_key", "of": ""}
    for name, what, count in (
        ("count_as_text", 'a count of "4"', "4"),
        ("count_true", "a count of true", True),
        ("count_float", "a count of 4.0", 4.0),
    ):
        lax.by("uwe", name, "numbers", what, "parts_counted", {**counted, "count": count})
    with_flag = {"items": ["HQT0000015"], "case": None, "stage": "prep", "unopened": 1}
    lax.by("uwe", "flag_as_number", "numbers", "a flag of 1", "item_seen", with_flag)


def try_texts(lax: Lax) -> None:
    bound = {"plan": lax.show.named["plan"], "wall": "A", "tile": "1.1", "item": None, "replaces": []}
    hire = {
        "hire": "out",
        "leg": "out",
        "items": ["HQT0000015"],
        "configuration": None,
        "party_blob": "0" * 64,
    }
    odd = (
        ("nul", "NUL", "a\0b"),
        ("lone_surrogate", "a lone surrogate", "a\ud800b"),
        ("reversed", "U+202E", "a‮b"),
    )
    for name, what, text in odd:
        lax.by(
            "lia",
            f"tag_with_{name}",
            "texts",
            f"a foreign tag with {what}",
            "tile_bound",
            {**bound, "tag": text},
        )
        body = {**hire, "firmware": text, "photo_blobs": []}
        lax.by("max", f"firmware_with_{name}", "texts", f"a firmware with {what}", "hire_handed_over", body)
        device = lax.show.phones["lia"].key.thumbprint[::-1]
        told = {"device": device, "reason": text}
        lax.owner(
            f"reason_with_{name}", "texts", f"a revocation's reason with {what}", "device_revoked", **told
        )
        sign(lax, f"exception_with_{name}", f"an exception's reason with {what}", text)


def sign(lax: Lax, name: str, what: str, reason: str = "late", group: str = "texts", **more: Any) -> Attempt:
    head = lax.show.head()
    body = {"statement": "built", "wall": "A", "plan": lax.show.named["plan"], "own": []}
    body |= {"epoch": head.epoch, "size": head.size, "root": head.root}
    body |= {"exceptions": [{"check": "A/bar/b1/level:true", "reason": reason, "person": None}], **more}
    return lax.by("max", name, group, what, "signed_off", body)


def try_dates(lax: Lax) -> None:
    paper = {"by_blob": lax.show.note("Lia, on paper")}
    for name, what, at in (
        ("paper_impossible", "a paper of 2026-99-99T99:99Z", "2026-99-99T99:99Z"),
        (
            "paper_in_arabic_digits",
            "a paper's time in Arabic-Indic digits",
            "2026-11-20T10:00Z".translate(ARABIC),
        ),
    ):
        lax.found(name, "dates", what, paper={**paper, "at": at})
    claim = {"item": "HQT0000015", "part": "corner", "after": None, "reference": None}
    claim |= {"seen": {"book": lax.show.book, "entry": "0" * 64}, "against_blob": lax.show.note("Nobody")}
    for name, what, day in (
        ("deadline_impossible", "a deadline of 2026-99-99", "2026-99-99"),
        ("deadline_in_arabic_digits", "a deadline in Arabic-Indic digits", "2026-11-20".translate(ARABIC)),
    ):
        lax.owner(name, "dates", what, "claim_opened", **claim, deadline=day)


def try_unknown_words(lax: Lax) -> None:
    """No rule forbids these; pages have no words for them."""
    reading = {"name": "zorp", "unit": "furlong", "value": 3}
    lax.found(
        "reading_unknown",
        "words",
        "a reading `zorp` in `furlong`: a show's log answers 500",
        readings=[reading],
    )
    fault = {"result": "fault", "weight": "stop", "reason": "zorp"}
    lax.found("reason_unknown", "words", "a fault's reason `zorp`", **fault)
    checks = ["ZZ/zorp/1/zorp:zorp", "A/zorp:zorp", "A/tile/99.99/condition:sound"]
    lax.found("checks_unknown", "words", "checks of no wall and no kind", checks=checks)
    lax.found("plan_unknown", "words", "a plan that is not here", plan="f" * 64)
    lax.found(
        "blobs_unknown", "words", "texts and photos not here", note_blob="e" * 64, photo_blobs=["d" * 64]
    )
    act = {"procedure": "zorp", "at": "ZZ", "plan": None, "result": "fault", "reason": "zorp"}
    act |= {"chosen": ["zorp:zorp"], "text_blobs": {"zorp": "c" * 64}}
    lax.by("lia", "procedure_unknown", "words", "a procedure `zorp`", "procedure_walked", act)
    damage = [{"part": "zorp:1", "what": "zorp", "weight": "stop"}]
    look = {"item": "ZZT9999999", "stage": "prep", "covers": ["zorp:1"], "damage": damage, "photo_blobs": []}
    lax.by(
        "uwe",
        "part_unknown",
        "words",
        "a part `zorp` of a thing with a label of nobody",
        "item_looked_at",
        look,
    )
    swap = {"plan": "f" * 64, "part": "lock", "where": "zorp", "out": "ZZT9999999", "in": None, "reopens": []}
    lax.by("lia", "swap_unknown", "words", "a swap at no place", "swapped", swap)
    parts = [{"person": "p" + "f" * 16, "first": 9, "last": 0}]
    share = {"plan": "f" * 64, "wall": "ZZ", "walk": "zorp", "parts": parts}
    lax.by(
        "lia", "share_unknown", "words", "a walk `zorp` shared with nobody, from 9 to 0", "work_shared", share
    )
    gone = {"checks_file": "b" * 64, "plan_file": "a" * 64, "title": "Nowhere", "replaces": None}
    lax.owner(
        "plan_without_files",
        "words",
        "a plan of wall ZZ whose files are not here",
        "plan_set",
        wall="ZZ",
        **gone,
    )
    for name in ("stock_listed", "contacts_listed", "procedures_listed", "prep_listed"):
        member = {
            "contacts_listed": "contacts_blob",
            "procedures_listed": "edition_file",
            "prep_listed": "prep_file",
        }
        what = f"{name} of a file that is not here"
        lax.owner(f"{name}_without_file", "words", what, name, **{member.get(name, "stock_file"): "9" * 64})
    lax.owner(
        "admits_nothing",
        "words",
        "an entry let in that is not here",
        "entry_admitted",
        entry="8" * 64,
        reason="?",
    )
