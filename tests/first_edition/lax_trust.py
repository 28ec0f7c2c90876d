"""How the lax show's entries count, whom its owner and an office phone let in, and what is signed off.

Runs only under the first edition's code, like `make.py`.
"""

from collections.abc import Iterator
from typing import Any

from lax_bodies import sign
from lax_book import BODY, Lax
from stage import Hand, Show, Stage

from seamwalk.book.entry import entry_id
from seamwalk.book.jose import PrivateKey


def try_counting(lax: Lax) -> None:
    """n and prev, each case by a phone of its own."""
    nowhere = "7" * 64
    cases: dict[str, list[tuple[str, str, int, Any]]] = {
        "gap": [("gap_1", "n 1", 1, None), ("gap_5", "n 5, 2 to 4 never came", 5, nowhere)],
        "late": [
            ("late_1", "n 1", 1, None),
            ("late_3", "n 3 before n 2", 3, "late_2"),
            ("late_2", "n 2 after n 3", 2, "late_1"),
        ],
        "fork": [
            ("fork_1", "n 1", 1, None),
            ("fork_2a", "n 2", 2, "fork_1"),
            ("fork_2b", "n 2 again, another body", 2, "fork_1"),
        ],
        "null_prev": [("null_prev_1", "n 1", 1, None), ("null_prev_2", "n 2 with prev null", 2, None)],
        "first_prev": [("first_prev_1", "n 1 with a prev", 1, nowhere)],
        "prev_nowhere": [
            ("prev_nowhere_1", "n 1", 1, None),
            ("prev_nowhere_2", "n 2, prev points nowhere", 2, nowhere),
        ],
        "prev_other": [
            ("prev_other_1", "n 1", 1, None),
            ("prev_other_2", "n 2, prev is another phone's", 2, "gap_1"),
            ("prev_other_3", "n 3, prev is the own n 1", 3, "prev_other_1"),
        ],
        "huge": [
            ("n_2_53_less_1", "n 2^53 - 1", 2**53 - 1, nowhere),
            ("n_2_53", "n 2^53", 2**53, nowhere),
            ("n_2_60", "n 2^60", 2**60, nowhere),
            ("n_2_63", "n 2^63", 2**63, nowhere),
            ("n_10_30", "n 10^30", 10**30, nowhere),
        ],
    }
    made: dict[str, str] = {}
    for who, items in cases.items():
        hand = lax.hand(who)
        texts = dict(_texts_of(lax, hand, items, made))
        for name, what, _, _ in items:
            lax.give(name, "counting", f"{what} (phone `{who}`)", texts[name])


def _texts_of(lax: Lax, hand: Hand, items: list[Any], made: dict[str, str]) -> Iterator[tuple[str, str]]:
    """Sign in the order of n, so that a later one can name an earlier one."""
    for place, (name, _, n, prev) in enumerate(sorted(items, key=lambda item: item[2])):
        checks = [f"A/free/{1 + place % 2}.{1 + place // 2 % 2}/left/guard:out"]
        body = {**BODY, "plan": lax.show.named["plan"], "checks": checks}
        if name == "fork_2b":
            body["checks"] = ["A/free/1.1/right/guard:out"]
        jws = hand.text("found", body, v=2, n=n, prev=made.get(str(prev), prev))
        made[name] = entry_id(jws)
        yield name, jws


def try_trust(lax: Lax) -> None:
    show, key = lax.show, PrivateKey.generate()
    admitted = show.entries["admitted_uwe"].body
    other = {**admitted, "person": "p" + "1" * 16}
    lax.owner(
        "readmitted_as_another_person",
        "trust",
        "uwe admitted again as another person",
        "device_admitted",
        **other,
    )
    wrong = {**admitted, "device": key.thumbprint, "person": "p" + "2" * 16, "role": "crew"}
    lax.owner("admitted_other_jwk", "trust", "a device admitted with uwe's key", "device_admitted", **wrong)
    lax.found("ok_by_uwe_after", "trust", "uwe's ok after that, under the person of the other device", "uwe")
    off = {**wrong, "jwk": {**key.jwk, "y": key.jwk["x"]}}
    lax.owner(
        "admitted_off_the_curve",
        "trust",
        "a device whose key is no point of the curve",
        "device_admitted",
        **off,
    )
    boss = show.bring("boss", "crew")
    role = {**show.entries["admitted_boss"].body, "role": "office"}
    lax.owner("phone_made_office", "trust", "a phone admitted in the role office", "device_admitted", **role)
    new = show.stranger("bosss_friend").key
    friend = {**role, "device": new.thumbprint, "jwk": new.jwk, "person": "p" + "3" * 16, "role": "chief"}
    lax.by(
        "boss", "admitted_by_office_phone", "trust", "that phone admits another", "device_admitted", friend
    )
    lax.found("ok_by_friend", "trust", "the ok of the phone that it admitted", "bosss_friend")
    plan = show.entries["plan"].body
    renamed = {**plan, "title": "By the phone", "replaces": show.named["plan"]}
    lax.by("boss", "plan_by_office_phone", "trust", "that phone sets the wall's plan", "plan_set", renamed)
    owner = {"device": show.fingerprint, "reason": "by the phone"}
    lax.by(
        "boss",
        "owner_revoked_by_office_phone",
        "trust",
        "that phone revokes the owner",
        "device_revoked",
        owner,
    )
    described = dict.fromkeys(("length_mm", "width_mm", "height_mm", "price", "currency"))
    told = {**described, "kind": "case", "type": "", "mass_kg": 40}
    lax.owner("owner_held", "trust", "the owner's next entry", "type_described", **told)
    jwk = PrivateKey.from_pem(show.stage.keys["lax/owner"]["pem"]).jwk
    back = {**role, "device": show.fingerprint, "jwk": jwk, "person": "p" + "4" * 16}
    lax.by(
        "boss",
        "owner_admitted_again",
        "trust",
        "that phone admits the owner again, as a person",
        "device_admitted",
        back,
    )
    assert boss.key.thumbprint != show.fingerprint
    _sign_offs(lax)


def _sign_offs(lax: Lax) -> None:
    plan = {"plan": lax.show.named["plan"], "group": "sign_off"}
    sign(lax, "signed_epoch_that_never_was", "a sign-off of epoch 7, which never was", epoch=7, **plan)
    sign(lax, "signed_epoch_2_60", "a sign-off of epoch 2^60", epoch=2**60, **plan)
    sign(lax, "signed_epoch_10_30", "a sign-off of epoch 10^30", epoch=10**30, **plan)
    sign(lax, "signed_size_10_30", "a sign-off over 10^30 entries", size=10**30, **plan)
    sign(lax, "signed_own_unknown", "a sign-off whose own entries are not here", own=["6" * 64], **plan)
    sign(
        lax,
        "signed_no_exceptions",
        "a sign-off that names nothing of what is in its way",
        exceptions=[],
        **plan,
    )


def make_ownerless(stage: Stage) -> Show:
    """A book whose owner has revoked its own device: whatever the owner writes from here on is held."""
    show = Show.open(stage, "ownerless", "Halle Nord, ownerless")
    show.bring("ada", "crew")
    show.find("ada", "ok_before", ["A/tile/1.1/condition:sound"])
    show.office("device_revoked", "owner_revoked", device=show.fingerprint, reason="by mistake")
    show.find("ada", "ok_after", ["A/tile/1.2/condition:sound"])
    return show
