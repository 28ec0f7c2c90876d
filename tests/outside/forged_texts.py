"""Forged texts of entries: headers, keys, payloads and signatures that say too much, too little, or twice."""

import json
from base64 import urlsafe_b64decode
from collections.abc import Iterator
from typing import Any

from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA512
from forge import (
    AT,
    FOUND,
    ORDER,
    Forge,
    Forgery,
    PrivateKey,
    as_bytes,
    base64url_encode,
    other_form,
    padded,
    scalars_of,
    sign,
    signature_of,
    strayed,
)

Named = Iterator[tuple[str, str, Any]]
ARABIC = str.maketrans("0123456789", "٠١٢٣٤٥٦٧٨٩")
# the prime of P-256: SP 800-186, section 3.2.1.3
PRIME = 2**256 - 2**224 + 2**192 + 2**96 - 1


def texts(book: Forge) -> Iterator[Forgery]:
    """One more text at the end of a good book, under a head that covers it."""
    for group in (_no_texts, _signatures, _accepted):
        for name, code, text in group(book):
            yield Forgery(name, code, book.also(text).file())
    for name, header in _headers(book):
        yield Forgery(f"header: {name}", "header", book.forged(header=header))
    for name, jwk in _jwks(book):
        yield Forgery(f"jwk: {name}", "jwk", book.forged(header=book.header(jwk=jwk)))
    for name, payload in _payloads(book):
        yield Forgery(f"payload: {name}", "payload", book.forged(payload))


def _no_texts(book: Forge) -> Named:
    good = book.text()
    head, body, end = good.split(".")
    for name, value in (
        ("a number", 5),
        ("null", None),
        ("a list", [good]),
        ("empty", ""),
        ("an object", {}),
    ):
        yield f"text: {name}", "text", value
    yield "text: two parts", "text", f"{head}.{body}"
    yield "text: four parts", "text", f"{good}.{end}"
    yield "text: a letter that is not ASCII", "text", good.replace("e", "é", 1)
    payload, header = padded(as_bytes(book.payload())), padded(as_bytes(book.header()))
    signed = sign(book.phone, header, payload)
    head, body, end = signed.split(".")
    yield "too long: a payload of spaces", "too_long", book.text(payload + b" " * 750_000)
    yield "too long: a header of spaces", "too_long", book.text(header=header + b" " * 3000)
    yield "base64url: payload padded", "base64url", f"{head}.{body}=.{end}"
    yield "base64url: payload with a stray bit", "base64url", f"{head}.{strayed(body)}.{end}"
    yield "base64url: payload in plain base64", "base64url", f"{head}.+/{body[2:]}.{end}"
    yield "base64url: a space in the payload", "base64url", f"{head}.{body[:8]} {body[8:]}.{end}"
    yield "base64url: a line break in the header", "base64url", f"{head[:8]}\n{head[8:]}.{body}.{end}"
    yield "base64url: header with a stray bit", "base64url", f"{strayed(head)}.{body}.{end}"
    yield "base64url: a header of 4k + 1", "base64url", f"{head[: len(head) // 4 * 4]}A.{body}.{end}"


def _headers(book: Forge) -> Iterator[tuple[str, Any]]:
    good = book.header()
    for name, value in (("none", "none"), ("HS256", "HS256"), ("ES384", "ES384"), ("es256", "es256")):
        yield f"alg {name}", good | {"alg": value}
    yield "alg in a list", good | {"alg": ["ES256"]}
    yield "typ JWT", good | {"typ": "JWT"}
    yield "typ of a head", good | {"typ": "seamwalk-head"}
    yield "kid a number", good | {"kid": 7}
    yield "kid null", good | {"kid": None}
    for member in ("alg", "typ", "kid"):
        yield f"no {member}", _without(good, member)
    more = {"crit": [], "b64": True, "jku": "https://a.example", "x5c": [], "cty": "x"}
    for member, told in more.items():
        yield f"with {member}", good | {member: told}
    text = json.dumps(good)
    yield "alg twice", ('{"alg":"none",' + text[1:]).encode()
    yield "kid twice", ('{"kid":"x",' + text[1:]).encode()
    yield "a list", [good]
    yield "no JSON", b"{"
    yield "empty", b""
    yield "a byte order mark", b"\xef\xbb\xbf" + text.encode()
    yield "UTF-16", text.encode("utf-16-le")
    yield "no UTF-8", text.replace(good["kid"], "kid\u00e9").encode("latin-1")
    yield "3 deep", good | {"jwk": good["jwk"] | {"x": ["y"]}}
    yield "NaN in the jwk", good | {"jwk": good["jwk"] | {"x": float("nan")}}
    yield "a large integer in the jwk", good | {"jwk": good["jwk"] | {"x": 2**53}}
    yield "NUL in kid", good | {"kid": "a\0b"}
    yield "a lone surrogate in kid", good | {"kid": "a\ud800b"}


def _jwks(book: Forge) -> Iterator[tuple[str, Any]]:
    good = book.phone.jwk
    x = int.from_bytes(urlsafe_b64decode(good["x"] + "="), "big")
    other = book.stranger.jwk
    yield "with its private d", good | {"d": good["x"]}
    yield "with use", good | {"use": "sig"}
    yield "with a kid of its own", good | {"kid": book.phone.thumbprint}
    yield "of another", other
    yield "x of another", good | {"x": other["x"]}
    yield "x and y changed over", good | {"x": good["y"], "y": good["x"]}
    yield "without y", _without(good, "y")
    yield "on another curve", good | {"crv": "P-384"}
    yield "of RSA", good | {"kty": "RSA"}
    yield "a secret", {"kty": "oct", "k": good["x"]}
    yield "x with a stray bit", good | {"x": strayed(good["x"])}
    yield "x with a byte more", good | {"x": base64url_encode(b"\0" + x.to_bytes(32, "big"))}
    yield "x with a byte less", good | {"x": base64url_encode(x.to_bytes(32, "big")[1:])}
    yield "x padded", good | {"x": good["x"] + "="}
    yield "x and the prime", good | {"x": base64url_encode((x + PRIME).to_bytes(33, "big"))}
    yield "x a number", good | {"x": 5}
    yield "null", None
    yield "a text", json.dumps(good)
    yield "a list", [good["x"]]


def _without(value: dict[str, Any], member: str) -> dict[str, Any]:
    return {name: item for name, item in value.items() if name != member}


def _payloads(book: Forge) -> Iterator[tuple[str, Any]]:
    good = book.payload()
    for member in good:
        yield f"no {member}", _without(good, member)
    yield "a member more", good | {"note": 1}
    for member, values in _VALUES.items():
        for value in values:
            yield f"{member} {str(value)[:30]!r}", good | {member: value}
    yield "at in Arabic digits", good | {"at": AT.translate(ARABIC)}
    deep: Any = 1
    for _ in range(15):
        deep = [deep]
    yield "17 deep", good | {"body": {**FOUND, "x": deep}}
    yield "a list", [good]
    text = json.dumps(good)
    for name, old, new in _REPLACED:
        assert old in text, old
        yield name, text.replace(old, new, 1).encode()
    yield "100,000 deep", text.replace('"0000', "[" * 100_000 + '"0000', 1).encode()
    yield "a raw NUL in a text", text.replace("tile", "ti\0le").encode()
    yield "a surrogate in UTF-8", text.replace("tile", "ti\ud800le").encode("utf-8", "surrogatepass")
    yield "an overlong slash", text.replace("/", "#").encode().replace(b"#", b"\xc0\xaf")
    yield "a byte order mark", b"\xef\xbb\xbf" + text.encode()
    yield "UTF-16", text.encode("utf-16")
    yield "something after it", (text + "{}").encode()
    yield "no JSON", b"found"


_VALUES: dict[str, list[Any]] = {
    "type": ["Found", "", "a" * 41, "found\n", "2found", 5, None],
    "v": [0, -1, 10_000, 1.0, "1", True, None],
    "book": ["b0123456789ABCDEF", "x0123456789abcdef", "", 5, "b0123456789abcdef\n"],
    "n": [0, -1, 2**53, 2**63, 10**30, 1.0, "1", True, None, [1]],
    "prev": ["", "0" * 63, "A" * 64, "0" * 64 + "\n", 5, False, []],
    "at": [
        *(5, None, "", "yesterday", "2026-11-20T22:00:00Z", "2026-11-20T22:00:00.000z"),
        *("2026-11-20 22:00:00.000Z", "2026-11-20T22:00:00.000+00:00", AT + "\n"),
        *("2026-02-30T22:00:00.000Z", "2026-13-01T22:00:00.000Z", "2026-11-20T24:00:00.000Z"),
        *("2026-12-31T23:59:60.000Z", "0000-01-01T00:00:00.000Z", AT[:-1] + "000Z"),
    ],
    "body": [[], None, "{}", 0],
}
# in the text of a good payload: what is put for what
_REPLACED = [
    ("type twice", '"type"', '"type": "withdrawn", "type"'),
    ("n twice, the same", '"n"', '"n": 2, "n"'),
    ("a member of the body twice", '"result"', '"result": "fault", "result"'),
    ("a member twice, once escaped", '"result"', '"r\\u0065sult": "fault", "result"'),
    ("NaN in the body", '"ok"', "NaN"),
    ("Infinity in the body", '"ok"', "Infinity"),
    ("-Infinity in the body", '"ok"', "-Infinity"),
    ("2^53 in the body", '"ok"', "9007199254740992"),
    ("-2^53 in the body", '"ok"', "-9007199254740992"),
    ("1e400 in the body", '"ok"', "1e400"),
    ("a number of 401 characters", '"ok"', "1." + "0" * 399),
    ("a number of 5,000 digits", '"ok"', "1" * 5000),
    ("n with an exponent", '"n": 2', '"n": 2e0'),
    ("n with a leading zero", '"n": 2', '"n": 02'),
    ("an escaped NUL in a text", '"ok"', '"o\\u0000k"'),
    ("an escaped NUL in a name", '"result"', '"\\u0000": 1, "result"'),
    ("a lone high surrogate", '"ok"', '"\\ud800"'),
    ("a lone low surrogate", '"ok"', '"\\udc00"'),
    ("a pair of surrogates changed over", '"ok"', '"\\udc00\\ud800"'),
    ("a lone surrogate in a name", '"result"', '"\\ud800": 1, "result"'),
    ("a comma too many", '"ok"', '"ok",'),
    ("a comment", '"ok"', '"ok"/* */'),
    ("single quotes", '"ok"', "'ok'"),
    ("a line break in a text", '"ok"', '"o\nk"'),
]


def _signatures(book: Forge) -> Named:
    good = book.text()
    signed, _, end = good.rpartition(".")
    r, s = scalars_of(book.phone, signed)
    form = {
        "empty": "",
        "of 63 bytes": base64url_encode((r % 2**248).to_bytes(31, "big") + s.to_bytes(32, "big")),
        "of 65 bytes": base64url_encode(b"\0" + r.to_bytes(32, "big") + s.to_bytes(32, "big")),
        "of 66 bytes, each half one more": base64url_encode(r.to_bytes(33, "big") + s.to_bytes(33, "big")),
        "in DER": base64url_encode(encode_dss_signature(r, s)),
        "with r 0": signature_of(0, s),
        "with s 0": signature_of(r, 0),
        "with both 0": signature_of(0, 0),
        "with r n": signature_of(ORDER, s),
        "with s n": signature_of(r, ORDER),
        "with r all ones": signature_of(2**256 - 1, s),
        "with s all ones": signature_of(r, 2**256 - 1),
        "with a stray bit": strayed(end),
        "padded": end + "==",
        "in plain base64": "+/" + end[2:],
        "with a line break": end + "\n",
    }
    for name, text in form.items():
        yield f"signature {name}", "signature_form", f"{signed}.{text}"
    other = book.text(book.payload(n=9))
    wrong = {
        "of another entry": other.rpartition(".")[2],
        "with r and s changed over": signature_of(s, r),
        "with r turned": signature_of(ORDER - r, s),
        "of 1 and 1": signature_of(1, 1),
        "over SHA-512": signature_of(*scalars_of(book.phone, signed, SHA512())),
        "over the payload alone": signature_of(*scalars_of(book.phone, signed.partition(".")[2])),
        "over a dot more": signature_of(*scalars_of(book.phone, signed + ".")),
        "by the stranger": signature_of(*scalars_of(book.stranger, signed)),
        "by the owner": signature_of(*scalars_of(book.owner, signed)),
        "by the head key": signature_of(*scalars_of(book.head, signed)),
    }
    for name, text in wrong.items():
        yield f"signature {name}", "signature", f"{signed}.{text}"
    head, body, _ = other.split(".")
    yield "payload of another under this signature", "signature", f"{head}.{body}.{end}"
    bare = sign(book.phone, _without(book.header(), "jwk"), book.payload())
    yield "jwk put in after signing", "signature", f"{head}.{'.'.join(bare.split('.')[1:])}"


def _accepted(book: Forge) -> Named:
    good = book.payload()
    spaced = json.dumps(good, indent=2).replace("found", "f\\u006fund").encode()
    header = book.header()
    yield "accepted: a low signature", "", book.text()
    yield "accepted: the same signature turned, s high", "", other_form(book.text())
    yield "accepted: spaces and escapes in the payload", "", book.text(spaced)
    yield (
        "accepted: another order of members",
        "",
        book.text(dict(reversed(good.items())), dict(reversed(header.items()))),
    )
    yield "accepted: no jwk once admitted", "", book.text(header=_without(header, "jwk"))
    yield "accepted: n of 2^53 - 1", "", book.text(good | {"n": 2**53 - 1})
    yield "accepted: the year 9999", "", book.text(good | {"at": "9999-12-31T23:59:59.999Z"})
    yield "accepted: a leap day", "", book.text(good | {"at": "2024-02-29T00:00:00.000Z"})
    yield "accepted: a prev that points nowhere", "", book.text(good | {"prev": "7" * 64})
    yield "accepted: n and prev that fit nothing", "", book.text(good | {"n": 77, "prev": None})
    yield "accepted: a header of 4,096 characters", "", book.text(header=_of_length(header, 4096))
    yield "accepted: a second entry of a number", "", book.text(good | {"n": 1, "prev": None})
    unknown = PrivateKey.generate()
    yield (
        "no key: a stranger without jwk",
        "key_missing",
        book.text(header=_without(book.header(unknown), "jwk"), key=unknown),
    )
    yield "unknown: a stranger with jwk", "unknown_device", book.text(key=book.stranger)
    yield "wrong book", "wrong_book", book.text(good | {"book": "b" + "f" * 16})
    yield "unknown type", "unknown_type", book.text(good | {"type": "found_again"})
    yield "a version too new", "unknown_version", book.text(good | {"v": 9})
    yield (
        "version 2 of a type that has one",
        "unknown_version",
        book.text(good | {"type": "withdrawn", "v": 2}),
    )


def _of_length(header: dict[str, Any], length: int) -> bytes:
    """A header as long in base64url, by spaces."""
    text = as_bytes(header)
    return text + b" " * (length * 3 // 4 - len(text))
