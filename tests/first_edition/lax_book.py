"""The show with entries that only the first edition's rules let in; each attempt is tried and told.

Runs only under the first edition's code, like `make.py`.
"""

import json
from dataclasses import asdict, dataclass, field
from typing import Any

from seamwalk.store.books import _next_author
from stage import Hand, Show, Stage, twist

from seamwalk.book.entry import read_entry
from seamwalk.book.jose import PrivateKey, split

ARABIC = str.maketrans("0123456789", "٠١٢٣٤٥٦٧٨٩")
BODY = {"plan": "0" * 64, "checks": ["A/tile/1.1/condition:sound"], "result": "ok"}
AT = "2026-11-20T10:00:00.000Z"


@dataclass
class Attempt:
    """One text given to the ledger, and what today's code made of it."""

    name: str
    group: str
    what: str
    jws: str
    verdict: str = ""
    why: str | None = None
    id: str | None = None
    index: int | None = None


@dataclass
class Lax:
    """The book, its hands, and the attempts in their order."""

    show: Show
    attempts: list[Attempt] = field(default_factory=list)
    hands: dict[str, Hand] = field(default_factory=dict)

    def hand(self, name: str) -> Hand:
        """A phone's hand, joined as crew when it is new; the owner's is `owner`."""
        if name not in self.hands:
            self.hands[name] = self._owner() if name == "owner" else self._phone(name)
        return self.hands[name]

    def _phone(self, name: str) -> Hand:
        if name not in self.show.phones:
            self.show.bring(name, "crew")
            self.hands.pop("owner", None)
        return Hand(self.show.phones[name].key, self.show.book, self.show.stage)

    def _owner(self) -> Hand:
        key = PrivateKey.from_pem(self.show.stage.keys[f"{self.show.slug}/owner"]["pem"])
        with self.show.stage.store.read() as session:
            author = _next_author(session, self.show.book, key)
        return Hand(key, self.show.book, self.show.stage, author.n, author.prev)

    def give(self, name: str, group: str, what: str, jws: str, by: Hand | None = None) -> Attempt:
        """Give a text to the ledger; `by` goes on behind it when it was kept."""
        attempt = Attempt(name, group, what, jws)
        self.attempts.append(attempt)
        try:
            (verdict,) = self.show.push(jws)
        except Exception as error:
            attempt.verdict, attempt.why = "error", f"{type(error).__name__}"
            return attempt
        attempt.verdict, attempt.why = verdict.verdict, verdict.why
        attempt.id, attempt.index = verdict.id, verdict.index
        if verdict.id and verdict.verdict in ("kept", "held"):
            self.show.remember(name, read_entry(jws))
        if by is not None and verdict.verdict == "kept":
            by.kept(jws)
        return attempt

    def by(
        self, who: str, name: str, group: str, what: str, entry_type: str, body: Any, **how: Any
    ) -> Attempt:
        """Let a hand sign, and give it."""
        hand = self.hand(who)
        return self.give(name, group, what, hand.text(entry_type, body, **how), hand)

    def found(self, name: str, group: str, what: str, who: str = "lia", v: int = 2, **body: Any) -> Attempt:
        plan = {"plan": self.show.named["plan"]}
        return self.by(who, name, group, what, "found", {**BODY, **plan, **body}, v=v)

    def owner(self, name: str, group: str, what: str, entry_type: str, **body: Any) -> Attempt:
        self.hands.pop("owner", None)
        return self.by("owner", name, group, what, entry_type, body)


def open_lax(stage: Stage) -> Lax:
    lax = Lax(Show.open(stage, "lax", "Speicher 9, lax"))
    lax.show.bring("lia", "crew")
    lax.show.bring("max", "chief")
    lax.show.bring("uwe", "warehouse")
    return lax


def try_headers(lax: Lax) -> None:
    own = lax.hand("lia").key
    other = PrivateKey.generate()
    secret = own._key.as_dict(private=True)
    jwks = {
        "jwk_with_more_members": (
            "jwk with `use` and `kid` beside its four members",
            {**own.jwk, "use": "sig", "kid": "x"},
        ),
        "jwk_with_private_member": ("jwk that tells the private key, `d`", {**own.jwk, "d": secret["d"]}),
        "jwk_of_another_key": ("jwk of another key than `kid`, by a phone that is known", other.jwk),
        "jwk_off_the_curve": (
            "jwk that is no point of the curve, by a phone that is known",
            {**own.jwk, "y": own.jwk["x"]},
        ),
        "jwk_of_other_types": ("jwk with a number among its members", {**own.jwk, "ext": 1}),
        "jwk_null": ("jwk null", None),
    }
    for name, (what, jwk) in jwks.items():
        body = {**BODY, "plan": lax.show.named["plan"]}
        lax.by("lia", name, "header", what, "found", body, v=2, header={"jwk": jwk})
    body = {**BODY, "plan": lax.show.named["plan"]}
    lax.by(
        "lia",
        "header_with_more",
        "header",
        "a member `crit` in the header",
        "found",
        body,
        header={"crit": []},
    )
    kid = {"kid": "\ud800" + own.thumbprint[1:]}
    lax.by("lia", "kid_with_lone_surrogate", "header", "kid with a lone surrogate", "found", body, header=kid)
    doubled = f'{{"alg":"ES256","alg":"ES256","kid":"{own.thumbprint}","typ":"seamwalk-entry"}}'.encode()
    lax.by("lia", "header_doubled", "header", "a member twice in the header", "found", body, header=doubled)
    deep = b'{"alg":"ES256","kid":"x","typ":"seamwalk-entry","jwk":' + b"[" * 100000 + b"]" * 100000 + b"}"
    lax.by("lia", "header_deep", "header", "a header 100,000 deep", "found", body, header=deep)


def try_payloads(lax: Lax) -> None:
    body = {**BODY, "plan": lax.show.named["plan"]}
    odd: list[tuple[str, str, dict[str, Any]]] = [
        ("at_impossible", "at 2026-99-99T99:99:99.999Z", {"at": "2026-99-99T99:99:99.999Z"}),
        ("at_in_arabic_digits", "at in Arabic-Indic digits", {"at": AT.translate(ARABIC)}),
        ("at_second_60", "at with a second 60", {"at": "2026-06-30T23:59:60.000Z"}),
        ("at_30_february", "at 30 February", {"at": "2026-02-30T10:00:00.000Z"}),
        ("at_hour_24", "at with an hour 24", {"at": "2026-02-20T24:00:00.000Z"}),
        ("at_year_0", "at in the year 0", {"at": "0000-01-01T00:00:00.000Z"}),
        ("v_0", "version 0", {"v": 0}),
        ("v_negative", "version -1", {"v": -1}),
        ("v_10000", "version 10000", {"v": 10000}),
        ("v_huge", "version 2^70", {"v": 2**70}),
        ("v_float", "version 2.0", {"v": 2.0}),
        ("n_float", "n a float", {"n": 900.0}),
        ("n_zero", "n 0", {"n": 0}),
        ("prev_upper_case", "prev in capitals", {"prev": "A" * 64}),
        ("book_other", "another book", {"book": "b0123456789abcdef"}),
        ("book_shape", "no id of a book", {"book": "\ud800"}),
        ("payload_with_more", "a member more in the payload", {"more": 1}),
    ]
    for name, what, changes in odd:
        lax.by("lia", name, "payload", what, "found", body, **{"v": 2, **changes})
    types = [
        ("type_empty", "type empty", ""),
        ("type_with_nul", "type with NUL", "found\0"),
        ("type_with_lone_surrogate", "type with a lone surrogate", "found\ud800"),
        ("type_in_capitals", "type in capitals", "FOUND"),
        ("type_of_1000", "type of 1,000 characters", "f" * 1000),
        ("type_in_markup", "type that is markup", "<b>{{ 7 * 7 }}</b>"),
    ]
    for name, what, entry_type in types:
        lax.by("lia", name, "payload", what, entry_type, {"a": 1})


def try_json(lax: Lax) -> None:
    """What a JSON reader lets through; where a known type has no room for it, in a type not known."""
    hand = lax.hand("lia")
    plain = json.loads(_payload_of(hand.text("weather_seen", {})))
    told: list[tuple[str, str, str]] = [
        ("body_nan", "NaN in a body", '{"a":NaN}'),
        ("body_infinity", "-Infinity in a body", '{"a":-Infinity}'),
        ("body_1e400", "1e400 in a body", '{"a":1e400}'),
        ("body_huge_integer", "an integer of 400 digits in a body", '{"a":' + "9" * 400 + "}"),
        ("body_5000_digits", "an integer of 5,000 digits in a body", '{"a":' + "9" * 5000 + "}"),
        ("body_2_53", "an integer of 2^53 in a body", '{"a":9007199254740992}'),
        ("body_nul", "NUL in a body's text", '{"a":"\\u0000"}'),
        ("body_lone_surrogate", "a lone surrogate in a body's text", '{"a":"\\ud800"}'),
        ("body_name_lone_surrogate", "a lone surrogate in a member's name", '{"\\udfff":1}'),
        ("body_doubled", "a member twice in a body", '{"a":1,"a":2}'),
        ("body_doubled_deep", "a member twice further down", '{"a":[{"b":1,"b":1}]}'),
        ("body_17_deep", "a body 17 deep", '{"a":' + "[" * 16 + "]" * 16 + "}"),
        ("body_500_deep", "a body 500 deep", '{"a":' + "[" * 500 + "]" * 500 + "}"),
        ("body_100000_deep", "a body 100,000 deep", '{"a":' + "[" * 100000 + "]" * 100000 + "}"),
    ]
    for name, what, body in told:
        raw = json.dumps({**plain, "body": "@"}).replace('"@"', body).encode()
        lax.give(name, "json", what, hand.text("weather_seen", {}, raw=raw), hand)
    text = json.dumps({**plain, "body": {}})
    for name, what, raw in (
        ("payload_utf_16", "a payload in UTF-16", text.encode("utf-16")),
        ("payload_bom", "a payload with a byte order mark", b"\xef\xbb\xbf" + text.encode()),
        ("payload_no_object", "a payload that is a list", b"[1]"),
        (
            "payload_doubled",
            "a member twice in the payload",
            text.replace('"v": 1', '"v": 1, "v": 1').encode(),
        ),
    ):
        lax.give(name, "json", what, hand.text("", {}, raw=raw), hand)
    _base64(lax, hand)


def _base64(lax: Lax, hand: Hand) -> None:
    body = {**BODY, "plan": lax.show.named["plan"]}
    jws = hand.text("found", body, v=2)
    signed, _, signature = jws.rpartition(".")
    for name, what, text in (
        ("signature_padded", "a signature with padding", f"{signed}.{signature}=="),
        ("signature_short", "a signature of 63 bytes", f"{signed}.{signature[:84]}"),
        ("signature_zero", "a signature of zeros", f"{signed}.{'A' * 86}"),
        ("four_parts", "four parts", f"{jws}.e30"),
    ):
        lax.give(name, "json", what, text)
    assert lax.give("plain", "json", "nothing odd", jws, hand).verdict == "kept"
    assert lax.give("plain_twin", "json", "the same with (r, n - s)", twist(jws)).verdict == "kept"


def _payload_of(jws: str) -> bytes:
    return split(jws)[1]


def told(lax: Lax) -> list[dict[str, Any]]:
    """The attempts as plain data; texts of over 20,000 characters are left out."""
    return [{**asdict(item), "jws": item.jws if len(item.jws) <= 20_000 else None} for item in lax.attempts]
