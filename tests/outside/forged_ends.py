"""Forged ends of files: heads, blobs, and seals of prints that do not fit a book that is good."""

import json
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

from forge import (
    BOOK,
    Forge,
    Forgery,
    PrivateKey,
    base64url_encode,
    entry_id,
    line,
    other_form,
    sign,
    signature_of,
    strayed,
)

Lines = list[bytes]
HASH = "0" * 64


def ends(book: Forge) -> Iterator[Forgery]:
    """One change of the head or the blobs of a good export, or of a seal beside it."""
    for group in (_heads, _blobs):
        for name, code, lines in group(book):
            yield Forgery(name, code, b"".join(lines))
    yield from _seals(book)


def _line(**members: Any) -> bytes:
    return line(members).encode()


def _heads(book: Forge) -> Iterator[tuple[str, str, Lines]]:
    good = book.lines()

    def with_head(head: Any) -> Lines:
        return [*good[:4], _line(head=head), *good[5:]]

    told = {"book": BOOK, "epoch": 1, "size": 3, "root": book.root(3), "at": "2026-11-20T22:00:00.000Z"}
    header: dict[str, Any] = {"alg": "ES256", "kid": book.head.thumbprint, "typ": "seamwalk-head"}
    right = sign(book.head, header, told)
    signed, _, end = right.rpartition(".")
    yield "accepted: a head made by hand", "", with_head(right)
    yield "accepted: a head with s high", "", with_head(other_form(right))
    for value in (
        None,
        5,
        "",
        "a.b",
        right + ".x",
        right.replace(".", ".é", 1),
        signed + "." + strayed(end),
        {"head": right},
    ):
        yield f"head: {str(value)[:9]!r}...{str(value)[-3:]!r}", "head", with_head(value)
    headers: list[tuple[str, Any]] = [
        *((f"alg {alg}", header | {"alg": alg}) for alg in ("none", "HS256", "es256", None)),
        *((f"typ {typ}", header | {"typ": typ}) for typ in ("seamwalk-entry", "JWT", None)),
        *(
            (f"with {name}", header | {name: value})
            for name, value in (("crit", []), ("jwk", "x"), ("b64", False))
        ),
        ("with the key", header | {"jwk": book.head.jwk}),
        ("no kid", {"alg": "ES256", "typ": "seamwalk-head"}),
        ("a kid that is a number", header | {"kid": 5}),
        ("a list", [header]),
        ("alg twice", b'{"alg":"none",' + json.dumps(header)[1:].encode()),
        ("too long", json.dumps(header).encode() + b" " * 4096),
    ]
    for name, value in headers:
        yield f"head: header {name}", "head", with_head(sign(book.head, value, told))
    for member, values in _HEAD_VALUES.items():
        for value in values:
            yield (
                f"head: {member} {value!r}",
                "head",
                with_head(sign(book.head, header, told | {member: value})),
            )
        fewer = {name: value for name, value in told.items() if name != member}
        yield f"head: no {member}", "head", with_head(sign(book.head, header, fewer))
    yield "head: a member more", "head", with_head(sign(book.head, header, told | {"x": 1}))
    yield "head: 2 deep", "head", with_head(sign(book.head, header, told | {"at": ["x"]}))
    yield (
        "head: root twice",
        "head",
        with_head(sign(book.head, header, json.dumps(told).replace('"root"', '"root":"x","root"').encode())),
    )
    yield from _head_signatures(book, header, told, with_head)
    for name, code, change in _claims(book):
        yield f"head: {name}", code, with_head(sign(book.head, header, told | change))


_HEAD_VALUES: dict[str, tuple[Any, ...]] = {
    "book": (None, 5),
    "epoch": (0, -1, True, "1", 1.0),
    "size": (0, True, "3", 3.0, 2**53, None),
    "root": (None, 0),
    "at": (None, 5),
}


def _claims(book: Forge) -> list[tuple[str, str, dict[str, Any]]]:
    plain = sha256(b"".join(book.leaves())).hexdigest()
    return [
        ("of another book", "head_claim", {"book": "b" + "f" * 16}),
        ("of another epoch", "head_claim", {"epoch": 2}),
        ("of one entry fewer", "head_claim", {"size": 2, "root": book.root(2)}),
        ("of one entry more", "head_claim", {"size": 4}),
        ("of another root", "root", {"root": HASH}),
        ("of a root in capitals", "root", {"root": book.root(3).upper()}),
        ("of the root of fewer", "root", {"root": book.root(2)}),
        ("of a hash over all leaves", "root", {"root": plain}),
        ("of an empty root", "root", {"root": ""}),
    ]


def _head_signatures(book: Forge, header: Any, told: Any, with_head: Any) -> Iterator[tuple[str, str, Lines]]:
    for name, key in (("the owner", book.owner), ("the phone", book.phone), ("a stranger", book.stranger)):
        yield f"head: by {name}", "head_key", with_head(sign(key, header | {"kid": key.thumbprint}, told))
        yield f"head: by {name} for the head's key", "head_signature", with_head(sign(key, header, told))
    right = sign(book.head, header, told)
    signed = right.rpartition(".")[0]
    for name, end in (
        ("none", ""),
        ("of 63 bytes", base64url_encode(b"x" * 63)),
        ("of 0 and 0", signature_of(0, 0)),
        ("of 1 and 1", signature_of(1, 1)),
        ("of another head", sign(book.head, header, told | {"at": "x"}).rpartition(".")[2]),
    ):
        yield f"head: signature {name}", "head_signature", with_head(f"{signed}.{end}")
    both = [_line(blobs=1, book=BOOK, epoch=2, seamwalk_export=2, size=3), *book.lines()[1:4]]
    wrong = _line(head=sign(book.head, header, told | {"epoch": 2}))
    yield "head: another epoch, in the first line too", "head_epoch", [*both, wrong, book.lines()[5]]


def _blobs(book: Forge) -> Iterator[tuple[str, str, Lines]]:
    good = book.lines()
    ((name, data),) = book.blobs.items()
    encoded = base64url_encode(data)

    def blob(**change: Any) -> Lines:
        return [*good[:5], _line(**{"blob": name, "data": encoded} | change)]

    yield "blob: bytes of another", "blob_hash", blob(data=base64url_encode(data + b" "))
    yield "blob: no bytes", "blob_hash", blob(data="")
    yield "blob: padded", "blob_hash", blob(data=encoded + "=")
    yield "blob: in plain base64", "blob_hash", blob(data="+/" + encoded[2:])
    yield "blob: name in capitals", "blob_hash", blob(blob=name.upper())
    yield "blob: name of another", "blob_hash", blob(blob="f" * 64)
    value: object
    for value in (None, 5, [], ""):
        yield f"blob: name {value!r}", "blob_order", blob(blob=value)
    for value in (None, 5, []):
        yield f"blob: data {value!r}", "blob_order", blob(data=value)
    yield "blob: a member more", "line", blob(note=1)
    two = book.copy()
    two.blobs[sha256(b"unnamed").hexdigest()] = b"unnamed"
    yield "blob: that no entry names", "blob_unnamed", two.lines()
    lines = two.lines()
    lines[0] = lines[0].replace(b'export":2', b'export":1')
    yield "accepted: version 1 with a blob that no entry names", "", lines
    yield "blob: out of order", "blob_order", [*lines[:5], lines[6], lines[5]]
    yield "blob: twice", "blob_order", [*lines[:5], lines[5], lines[5]]
    none = book.copy()
    none.blobs.clear()
    yield "accepted: a blob that is missing", "", none.lines()


def _seals(book: Forge) -> Iterator[Forgery]:
    ids, data = book.ids(), book.file()

    def seal(entry: str = ids[2], size: int = 3, root: str = "", epoch: Any = 1, at: str = BOOK) -> str:
        return f"SEAMWALK1:{at}:{epoch}:{size}:{root or book.root(size)}:{entry}".upper()

    good = seal()
    other = entry_id(other_form(book.entries[2]))
    taken = {"good": good, "in small letters": good.lower(), "with spaces": f" {good[:20]}\n\t{good[20:]} "}
    taken |= {"by the entry's other id": seal(other), "of an entry before": seal(ids[0], 1)}
    for name, text in taken.items():
        yield Forgery(f"accepted: a seal, {name}", "", data, (text,))
    yield Forgery("accepted: three seals", "", data, (good, seal(ids[1], 2), seal(ids[0], 3)))
    for name, code, text in [
        ("of an entry that is not here", "seal_entry", seal(HASH)),
        ("of another book", "seal_entry", seal(at="b" + "f" * 16)),
        ("of an epoch that never was", "seal_epoch", seal(epoch=2)),
        ("of another root", "seal_root", seal(root=HASH)),
        ("of the root of fewer", "seal_root", seal(ids[0], 3, book.root(2))),
        ("of an entry beyond its size", "seal_root", seal(ids[2], 2)),
        ("over more than there is", "seal_root", seal(size=4, root=book.root(3))),
        ("over 10^11", "seal_root", seal(size=10**11, root=book.root(3))),
        *((f"text: {text[:12]!r}", "seal", text) for text in _no_seals(good, seal)),
    ]:
        yield Forgery(f"seal {name}", code, data, (text,))
    yield Forgery("a good seal and a wrong one", "seal_root", data, (good, seal(root=HASH)))
    hidden = book.lines()
    hidden[3] = _line(leaf=ids[2])
    yield Forgery("accepted: a seal of a bare leaf", "", b"".join(hidden), (good,))
    yield from _seals_and_restores(book, good)


def _no_seals(good: str, seal: Any) -> list[str]:
    return [
        "",
        good[:-1],
        good + "0",
        good.replace("1:", "2:", 1),
        good.replace(":", ";"),
        good.replace("S", "\u017f", 1),
        good.replace(":1:", ":\u0661:"),
        seal(epoch="01"),
        seal(epoch=0),
        seal(epoch="1.0"),
        seal(epoch=10**15),
        seal(size=0, root=HASH),
        seal(size=10**12, root=HASH),
        good.replace("B0123", "C0123"),
        good[:-1] + "G",
        f"x{good}",
        good.replace(":", "\u00a0:", 1),
    ]


def _seals_and_restores(book: Forge, good: str) -> Iterator[Forgery]:
    ids = book.ids()
    lost = book.copy()
    lost.entries.pop()
    lost.restore(2, 7)
    lost.entries.append(book.entries[2])
    yield Forgery("accepted: a seal from before a restore", "", lost.file(), (good,))
    gone = lost.copy()
    gone.entries.pop()
    yield Forgery("a seal of an entry that a restore lost", "seal_entry", gone.file(), (good,))
    before = f"SEAMWALK1:{BOOK}:1:2:{HASH}:{ids[1]}"
    yield Forgery("a seal up to the restore's base, of another root", "seal_root", lost.file(), (before,))
    late = f"SEAMWALK1:{BOOK}:7:4:{HASH}:{ids[2]}"
    yield Forgery("a seal of the new epoch, of another root", "seal_root", lost.file(), (late,))
    stranger = PrivateKey.generate().thumbprint
    yield Forgery("another owner, and a seal", "owner", book.file(), (good,), stranger)
