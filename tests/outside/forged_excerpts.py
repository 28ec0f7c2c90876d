"""Forged excerpts: Merkle paths with nodes missing, added and changed over, and all around them."""

import json
from collections.abc import Callable, Iterator
from typing import Any

from forge import BOOK, Forge, Forgery, PrivateKey, entry_id, line, other_form, sign, signature_of

from seamwalk.book.excerpt import write_excerpt

JSON = dict[str, Any]
HASH = "0" * 64


def excerpts(book: Forge) -> Iterator[Forgery]:
    """One change of a good excerpt of a book of seven entries, of the sixth."""
    book = book.copy()
    for _ in range(4):
        book.find()
    text = write_excerpt(book.entries, book.signed_head(), book.ids()[5])
    yield Forgery("accepted: an excerpt", "", text.encode(), trusted=book.owner.thumbprint)
    yield Forgery(
        "excerpt: another owner is trusted", "owner", text.encode(), trusted=book.stranger.thumbprint
    )
    for group in (_paths, _places, _members, _judged, _heads):
        for name, code, change in group(book):
            value = json.loads(text)
            change(value)
            yield Forgery(f"excerpt: {name}", code, line(value).encode())
    yield from _lines(text)
    yield from _whole(book)


Change = Callable[[JSON], object]
Changes = Iterator[tuple[str, str, Change]]


def _update(**members: Any) -> Change:
    return lambda value: value.update(members)


def _update_entry(which: int, **members: Any) -> Change:
    return lambda value: value["entries"][which].update(members)


def _change_path(change: Callable[[list[Any]], list[Any]], which: int = -1) -> Change:
    """Put for an entry's path what `change` makes of it."""
    return lambda value: value["entries"][which].update(path=change(value["entries"][which]["path"]))


def _put(at: int, *nodes: Any, instead_of: int = 0) -> Callable[[list[Any]], list[Any]]:
    """Nodes at a place of a path, instead of as many as stand there."""
    return lambda path: [*path[:at], *nodes, *path[at + instead_of :]]


def _repeat(at: int) -> Callable[[list[Any]], list[Any]]:
    return lambda path: [*path[: at + 1], *path[at:]]


def _swap(at: int) -> Callable[[list[Any]], list[Any]]:
    return lambda path: [*path[:at], path[at + 1], path[at], *path[at + 2 :]]


def _paths(book: Forge) -> Changes:
    leaf, root = book.ids()[5], book.root(7)
    for which in range(3):
        for at in range(3):
            name = f"path {which}, node {at}"
            yield f"{name} missing", "path", _change_path(_put(at, instead_of=1), which)
            yield f"{name} twice", "path", _change_path(_repeat(at), which)
            yield f"{name} of zeros", "path", _change_path(_put(at, HASH, instead_of=1), which)
    for at in range(2):
        yield f"nodes {at} and {at + 1} changed over", "path", _change_path(_swap(at))
    yield "path backwards", "path", _change_path(lambda path: path[::-1])
    yield "path turned round", "path", _change_path(lambda path: [path[-1], *path[:-1]])
    yield "path empty", "path", _change_path(lambda _: [])
    yield "path with a node at its end", "path", _change_path(lambda path: [*path, HASH])
    yield "path with a node at its start", "path", _change_path(_put(0, HASH))
    yield "path with the leaf at its start", "path", _change_path(_put(0, leaf))
    yield "path with the root at its end", "path", _change_path(lambda path: [*path, root])
    yield "path of 100 nodes", "path", _change_path(lambda path: [*path, *[HASH] * 97])
    yield "path of 10,000 nodes", "path", _change_path(lambda path: [*path, *[HASH] * 9_997])
    yield "path of another entry", "path", lambda value: _same_path(value, 1, -1)
    yield "paths changed over", "path", _swap_paths
    for node in (root.upper(), "0" * 63, HASH + "\n", 5, None, ""):
        yield f"node {str(node)[:5]!r}", "path", _change_path(_put(0, node, instead_of=1))
    value: object
    for value in (None, "x", {}, 5):
        yield f"path {value!r}", "excerpt_members", _update_entry(2, path=value)


def _same_path(value: JSON, source: int, target: int) -> None:
    value["entries"][target]["path"] = value["entries"][source]["path"]


def _swap_paths(value: JSON) -> None:
    first, second = value["entries"][0], value["entries"][2]
    first["path"], second["path"] = second["path"], first["path"]


def _places(_: Forge) -> Changes:
    def at(index: Any, which: int = 2) -> Change:
        return _update_entry(which, index=index)

    def both(index: Any) -> Change:
        return lambda value: (value.update(index=index), value["entries"][2].update(index=index))

    for place in (4, 6, 2):
        yield f"stands at {place}", "path", both(place)
    yield "stands beyond the book", "path", both(7)
    yield "stands at 2^53 - 1", "path", both(2**53 - 1)
    yield "stands at 2^53", "json", both(2**53)
    yield "at the admission's place", "excerpt_order", both(1)
    yield "the opening at 1", "excerpt_order", at(1, 0)
    yield "the admission at 0", "excerpt_order", at(0, 1)
    yield "the admission after it", "excerpt_order", at(6, 1)
    yield "asks for one that is not in it", "excerpt_wanted", _update(index=4)
    for index in (-1, True, "5", None):
        yield f"index {index!r}", "excerpt_members", _update(index=index)
        yield f"an entry's index {index!r}", "excerpt_members", at(index)
    yield "index 5.0", "canonical", _update(index=5.0)
    yield "an entry's index 5.0", "canonical", at(5.0)
    yield "an entry's index false", "excerpt_members", at(False, 0)


def _members(book: Forge) -> Changes:
    for member in ("book", "entries", "head", "index"):
        yield f"no {member}", "line", _without(member)
    yield "a member more", "line", _update(note=1)
    for version in (0, 2, -1, True, "1", None):
        yield f"version {version!r}", "version", _update(seamwalk_excerpt=version)
    yield "version 1.0", "canonical", _update(seamwalk_excerpt=1.0)
    for named in ("", BOOK.upper(), BOOK + "\n", 5, None, [BOOK]):
        yield f"book {named!r}", "excerpt_members", _update(book=named)
    yield "another book", "wrong_book", _update(book="b" + "f" * 16)
    entries: object
    for entries in (None, {}, "x", 5):
        yield f"entries {entries!r}", "excerpt_members", _update(entries=entries)
    yield "entries empty", "excerpt_order", _update(entries=[])
    item: object
    for item in (None, [], "x", book.entries[5]):
        yield f"an entry {str(item)[:5]!r}", "excerpt_members", _append(item)
    for member in ("entry", "index", "path"):
        yield f"an entry without {member}", "excerpt_members", _entry_without(1, member)
    yield "an entry with a member more", "excerpt_members", _update_entry(1, note=1)


def _without(member: str) -> Change:
    return lambda value: value.pop(member)


def _entry_without(which: int, member: str) -> Change:
    return lambda value: value["entries"][which].pop(member)


def _append(item: object) -> Change:
    return lambda value: value["entries"].append(item)


def _judged(book: Forge) -> Changes:
    def entry(text: Any, which: int = 2) -> Change:
        return _update_entry(which, entry=text)

    def drop(which: int) -> Change:
        return lambda value: value["entries"].pop(which)

    good = book.payload()
    yield "without the opening", "unknown_device", drop(0)
    yield "without the admission", "unknown_device", drop(1)
    yield "without the entry", "excerpt_wanted", drop(2)
    yield (
        "entries changed over",
        "unknown_device",
        lambda value: value["entries"].insert(1, value["entries"].pop()),
    )
    yield "an entry twice", "excerpt_order", lambda value: value["entries"].append(value["entries"][2])
    yield "an entry in its other form", "path", entry(other_form(book.entries[5]))
    yield "another good entry", "path", entry(book.text())
    yield "an entry of the device that stands elsewhere", "path", entry(book.entries[4])
    yield "an entry by a stranger", "unknown_device", entry(book.text(key=book.stranger))
    yield "an entry by a stranger for the phone", "signature", entry(_for_phone(book))
    yield (
        "an entry not of its role",
        "role",
        entry(book.text(good | {"type": "stock_listed", "body": {"stock_file": HASH}})),
    )
    yield "an entry without schema", "schema", entry(book.text(good | {"body": {}}))
    yield "an unknown type", "unknown_type", entry(book.text(good | {"type": "x"}))
    yield "a number for an entry", "text", entry(5)
    yield "another version of the opening", "excerpt_order", entry(book.entries[1], 0)
    yield "the opening again", "excerpt_order", entry(book.entries[0])
    twin = {"entry": other_form(book.entries[5]), "index": 6, "path": []}
    yield "the entry again, turned", "twin", lambda value: value["entries"].append(twin)
    own = Forge()
    yield (
        "the opening of another owner",
        "signature",
        entry(own.entries[0].rpartition(".")[0] + "." + signature_of(1, 1), 0),
    )
    yield "an opening by another owner", "signature", _mixed(book, own)
    revoked = book.copy()
    revoked.write("device_revoked", {"device": book.phone.thumbprint, "reason": "lost"})
    item = {"entry": revoked.entries[-1], "index": 2, "path": []}
    yield "a revocation before it", "revoked_device", lambda value: value["entries"].insert(2, item)


def _for_phone(book: Forge) -> str:
    return sign(book.stranger, book.header(), book.payload())


def _mixed(book: Forge, other: Forge) -> Change:
    """The admission signed by another for the owner."""
    forged = sign(
        other.owner,
        book.header(book.owner),
        book.payload(type="device_admitted", body=book.admission(book.phone)),
    )
    return _update_entry(1, entry=forged)


def _heads(book: Forge) -> Changes:
    def head(text: Any) -> Change:
        return _update(head=text)

    value: object
    for value in (None, 5, "", {}, book.entries[0]):
        yield f"head {str(value)[:9]!r}", "head", head(value)
    yield "head by the owner", "head_key", head(book.signed_head(book.owner))
    yield "head by a stranger", "head_key", head(book.signed_head(PrivateKey.generate()))
    forged = sign(
        book.stranger, {"alg": "ES256", "kid": book.head.thumbprint, "typ": "seamwalk-head"}, _told(book)
    )
    yield "head by a stranger for the head's key", "head_signature", head(forged)
    yield "head of another book", "head_claim", head(book.signed_head(book="b" + "f" * 16))
    yield "head of another epoch", "head_claim", head(book.signed_head(epoch=2))
    yield "head of another root", "path", head(book.signed_head(root=HASH))
    yield "head of one entry fewer", "path", head(book.signed_head(size=6, root=book.root(6)))
    yield "head of fewer entries than its index", "path", head(book.signed_head(size=5, root=book.root(5)))
    # its paths are the same as in a tree of seven, so no proof can tell
    yield "accepted: a head that counts one more", "", head(book.signed_head(size=8))
    yield "head of 2^53 - 1 entries", "path", head(book.signed_head(size=2**53 - 1))
    yield "head of one entry, which it is", "path", head(book.signed_head(size=1, root=book.ids()[5]))


def _told(book: Forge) -> JSON:
    return {"book": BOOK, "epoch": 1, "size": 7, "root": book.root(7), "at": "x"}


def _lines(text: str) -> Iterator[Forgery]:
    data = text.encode()
    yield Forgery("excerpt: twice", "json", data + data)
    yield Forgery("excerpt: a line after it", "json", data + b"x\n")
    yield Forgery("excerpt: an empty line after it", "canonical", data + b"\n")
    yield Forgery("excerpt: no line break", "canonical", data.rstrip())
    yield Forgery("excerpt: spaces", "canonical", data.replace(b'"index":', b'"index": '))
    yield Forgery("excerpt: head twice", "json", data.replace(b'{"book"', b'{"head":"x","book"'))
    other = json.dumps(dict(reversed(json.loads(text).items())), separators=(",", ":")).encode() + b"\n"
    yield Forgery("excerpt: another order", "canonical", other)


def _whole(book: Forge) -> Iterator[Forgery]:
    """Excerpts of books of one entry, of a restored one, and of the other id."""
    made = book.copy()
    made.entries = made.entries[:1]
    alone = write_excerpt(made.entries, made.signed_head(), made.ids()[0])
    yield Forgery("accepted: an excerpt of a book of one entry", "", alone.encode())
    value = json.loads(alone)
    value["entries"][0]["path"] = [HASH]
    yield Forgery("excerpt: of one entry with a path", "path", line(value).encode())
    text = write_excerpt(book.entries, book.signed_head(), entry_id(other_form(book.entries[5])))
    yield Forgery("accepted: an excerpt by the other id", "", text.encode())
    old = book.head
    after = book.copy()
    after.restore(2, 7)
    text = write_excerpt(after.entries, after.signed_head(), after.ids()[5])
    yield Forgery("accepted: an excerpt after a restore", "", text.encode())
    value = json.loads(text) | {"head": after.signed_head(old)}
    yield Forgery("excerpt: the head by the key before a restore", "head_key", line(value).encode())
    value = json.loads(text)
    del value["entries"][-1]
    yield Forgery("excerpt: without the restore", "head_key", line(value).encode())
    value["head"] = after.signed_head(old)
    yield Forgery("excerpt: without the restore, by the key before", "head_claim", line(value).encode())
