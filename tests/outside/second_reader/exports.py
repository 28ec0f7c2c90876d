"""Exports, and the seals of prints against them."""

import re
from collections import Counter, defaultdict
from collections.abc import Sequence
from hashlib import sha256
from typing import Any

from second_reader.entries import Entry, parse
from second_reader.keys import read_head
from second_reader.published import Published
from second_reader.strict import Refusal, from_base64url, from_line, is_book, is_count, is_hash, need
from second_reader.trust import Judge

_FIRST = {"blobs", "book", "epoch", "seamwalk_export", "size"}
_TEXTS = "name_blob note_blob contacts_blob party_blob against_blob"
_FILES = "plan_file checks_file stock_file edition_file prep_file"
_SEAL = "SEAMWALK1:(B[0-9A-F]{16}):([1-9][0-9]{0,14}):([1-9][0-9]{0,11}):([0-9A-F]{64}):([0-9A-F]{64})"


def read_export(data: bytes, public: Published, trusted: str | None, seals: Sequence[str]) -> dict[str, int]:
    """The flags of an export that bears out these seals."""
    read = [read_seal(text) for text in seals]
    export = _Export(data, public)
    export.read(trusted)
    for seal in read:
        export.check_seal(*seal)
    return {name: count for name, count in export.flags.items() if count}


def read_seal(text: str) -> tuple[str, int, int, str, str]:
    """Book, epoch, size, root and entry of a seal."""
    match = re.fullmatch(_SEAL, "".join(text.split()).upper()) if text.isascii() else None
    if match is None:
        raise Refusal("seal")
    book, epoch, size, root, entry = (part.lower() for part in match.groups())
    return book, int(epoch), int(size), root, entry


def root_hash(leaves: Sequence[bytes]) -> bytes:
    """MTH of RFC 9162 section 2.1.1, over leaf hashes."""
    if len(leaves) < 2:
        return leaves[0] if leaves else sha256(b"").digest()
    k = 1 << ((len(leaves) - 1).bit_length() - 1)
    return sha256(b"\x01" + root_hash(leaves[:k]) + root_hash(leaves[k:])).digest()


class _Export:
    def __init__(self, data: bytes, public: Published) -> None:
        self.lines = iter(re.findall(rb"[^\n]*\n|[^\n]+", data))
        self.public = public
        self.flags: Counter[str] = Counter()
        self.leaves: list[bytes] = []
        self.places: dict[str, int] = {}
        self.others: dict[str, int] = {}
        self.void: set[int] = set()
        self.chained: list[Entry] = []
        self.named: set[str] = set()
        self.erased: set[str] = set()

    def line(self, *choices: set[str]) -> dict[str, Any]:
        """The next line, of one of these sets of members."""
        raw = next(self.lines, None)
        need(raw is not None, "ends_early")
        value = from_line(raw or b"")
        need(set(value) in choices, "line")
        return value

    def read(self, trusted: str | None) -> None:
        first = self.line(_FIRST)
        self.version = first["seamwalk_export"]
        need(is_count(self.version, 1) and self.version <= 2, "version")
        need(is_book(first["book"]) and is_count(first["blobs"], 0), "header_line")
        need(is_count(first["epoch"], 1) and is_count(first["size"], 1), "header_line")
        self.judge = Judge(first["book"], self.public)
        self._entry(self.line({"entry"})["entry"])
        need(trusted in (None, self.judge.trust.owner), "owner")
        for _ in range(first["size"] - 1):
            self._leaf_or_entry()
        self._head(first)
        blobs = self._blobs(first["blobs"])
        need(next(self.lines, None) is None, "ends_late")
        self._tell_chains()
        self.flags["blobs_missing"] = len(self.named - blobs - self.erased)
        self.flags["blobs_erased"] = len(self.erased)

    def _leaf_or_entry(self) -> None:
        line = self.line(*[{"entry"}, {"leaf"}][: self.version])
        if "entry" in line:
            return self._entry(line["entry"])
        need(is_hash(line["leaf"]), "leaf")
        self.flags["hidden"] += 1
        return self._place(line["leaf"])

    def _entry(self, text: object) -> None:
        entry, rules = self.judge.read(text)
        old = self._older(entry) if rules == 1 else None
        epoch = self.judge.trust.epoch
        void = self.judge.judge(entry, rules)
        if void is None and self.leaves:
            self._check_root(entry, rules, begins=self.judge.trust.epoch > epoch)
        for name in entry.ids - {entry.id}:
            self.others.setdefault(name, len(self.leaves))
        self._place(entry.id)
        self._note(entry, void, old)

    def _older(self, entry: Entry) -> str | None:
        """The first code under which rules 2 refuse what rules 1 let in, before it has its effect."""
        try:
            return self.judge.why_not(parse(entry.text, 2), 2)
        except Refusal as refusal:
            return refusal.code

    def _note(self, entry: Entry, void: str | None, old: str | None) -> None:
        self.named |= blobs_of(entry.body)
        self.flags["clock"] += not "2020" <= entry.at[:4] <= "2037"
        self.flags.update(flag for flag in (old and f"rules.{old}", void) if flag)
        if void is not None:
            self.void.add(len(self.leaves) - 1)
        elif entry.type == "blob_erased":
            self.erased.add(entry.body["blob"])
        if void != "twin":
            self.chained.append(entry)

    def _place(self, leaf: str) -> None:
        need(leaf not in self.places, "twin")
        self.places[leaf] = len(self.leaves)
        self.leaves.append(bytes.fromhex(leaf))

    def _root(self, size: int) -> str | None:
        return root_hash(self.leaves[:size]).hex() if size <= len(self.leaves) else None

    def _check_root(self, entry: Entry, rules: int, *, begins: bool) -> None:
        body, trust = entry.body, self.judge.trust
        if entry.type == "signed_off" and not trust.lets_in(entry):
            need(rules == 1 or body["epoch"] in trust.epochs, "other_root")
            need(self._root(body["size"]) == body["root"], "other_root")
        elif begins:
            need(self._root(body["base_size"]) == body["base_root"], "other_root")

    def _head(self, first: dict[str, Any]) -> None:
        head = read_head(self.line({"head"})["head"], self.judge.trust.head_key)
        need(all(head[name] == first[name] for name in ("book", "epoch", "size")), "head_claim")
        need(head["epoch"] == self.judge.trust.epoch, "head_epoch")
        need(head["root"] == self._root(len(self.leaves)), "root")

    def _blobs(self, count: int) -> set[str]:
        names: set[str] = set()
        for _ in range(count):
            line = self.line({"blob", "data"})
            name, data = line["blob"], line["data"]
            need(
                isinstance(name, str) and isinstance(data, str) and name > max(names, default=""),
                "blob_order",
            )
            need(sha256(from_base64url(data, "blob_hash")).hexdigest() == name, "blob_hash")
            need(self.version == 1 or name in self.named, "blob_unnamed")
            names.add(name)
        return names

    def _tell_chains(self) -> None:
        by_number: dict[str, dict[int, list[Entry]]] = defaultdict(lambda: defaultdict(list))
        for entry in self.chained:
            by_number[entry.device][entry.n].append(entry)
        for numbers in by_number.values():
            self.flags["gap"] += len(numbers) < max(numbers)
            self.flags["fork"] += max(map(len, numbers.values())) > 1
        here = set().union(*(entry.ids for entry in self.chained))
        for entry in self.chained:
            before = by_number[entry.device].get(entry.n - 1, [])
            if (entry.n == 1) != (entry.prev is None):
                self.flags["prev_missing"] += 1
            elif entry.n > 1 and not any(entry.prev in one.ids for one in before):
                self.flags["prev_other" if entry.prev in here else "prev_unknown"] += 1

    def check_seal(self, book: str, epoch: int, size: int, root: str, entry: str) -> None:
        """Make sure that this book bears a seal out."""
        trust = self.judge.trust
        place = self.places.get(entry, self.others.get(entry))
        need(book == self.judge.book and place is not None, "seal_entry")
        self.flags["seal_void"] += place in self.void
        need(epoch in trust.epochs, "seal_epoch")
        if place is None or place >= size or self._root(size) != root:
            need(any(later > epoch and base < size for later, base in trust.bases), "seal_root")
            self.flags["seal_restored"] += 1


def blobs_of(body: dict[str, Any]) -> set[str]:
    """What an entry names as blobs."""
    names = [body.get(member) for member in f"{_TEXTS} {_FILES}".split()]
    names += [*body.get("photo_blobs", ()), *body.get("text_blobs", {}).values()]
    return {name for name in (*names, (body.get("paper") or {}).get("by_blob")) if name}
