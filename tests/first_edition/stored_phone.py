"""A phone of the clean and the twisted show: its own TypeScript code under Node, driven line by line.

Runs only under the first edition's code, like `make.py`.
"""

import json
import struct
import subprocess
import threading
import zlib
from pathlib import Path
from typing import Any

from clean_book import jpeg
from joserfc.jwk import ECKey
from sim_replica import NODE, bundle
from stage import Show, Stage, as_json, has_high_s, twist, write_gz
from werkzeug.serving import make_server

from seamwalk.book.entry import entry_id, format_at, read_entry
from seamwalk.book.jose import PrivateKey, base64url_decode, base64url_encode

HERE = Path(__file__).resolve().parent


class Phone:
    """The phone's TypeScript code under Node, driven line by line."""

    def __init__(self, stage: Stage, folder: Path) -> None:
        self.stage = stage
        self.server = make_server("127.0.0.1", 0, stage.app, threaded=True)
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        command = [str(NODE), str(bundle(folder, HERE / "phone.ts")), f"http://localhost:{self.server.port}"]
        self.node = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)

    def do(self, what: str, **more: Any) -> Any:
        assert self.node.stdin is not None
        assert self.node.stdout is not None
        at = format_at(self.stage.pass_())
        self.node.stdin.write(json.dumps({"do": what, "at": at, **more}) + "\n")
        self.node.stdin.flush()
        answer = json.loads(self.node.stdout.readline())
        assert "ok" in answer, answer
        return answer["ok"]

    def join(self, show: Show) -> None:
        owner, token = show.fingerprint, show.invite("crew")
        self.do("join", token=token, owner=owner, name="Ilka Moor")
        show.remember("admitted_ilka", show.last())
        self.sync(show)

    def sync(self, show: Show) -> dict[str, Any]:
        status: dict[str, Any] = self.do("sync", book=show.book)
        assert status["sync"] == "idle", status
        return status

    def write(self, show: Show, name: str, high_s: bool, entry_type: str = "found", **body: Any) -> str:
        """Let the phone write; return the JWS."""
        notes = {key: body.pop(key) for key in ("note_blob",) if key in body}
        if entry_type == "found":
            body = {"plan": show.named["plan"], "result": "ok", "answers": [], **body}
        entry = self.do("append", book=show.book, type=entry_type, body=body, notes=notes, high_s=high_s)
        assert has_high_s(entry["jws"]) == high_s
        show.remember(name, read_entry(entry["jws"]))
        return str(entry["jws"])

    def close(self) -> None:
        assert self.node.stdin is not None
        self.node.stdin.close()
        self.node.wait()
        self.server.shutdown()


def phone_sends(phone: Phone, clean: Show, twisted: Show) -> None:
    phone.sync(clean)
    phone.write(clean, "phone_seen_low_s", False, checks=["A/bar/b1/position:planned"])
    phone.write(clean, "phone_seen_high_s", True, checks=["A/bar/b2/position:planned"])
    name = phone.do("photo", book=clean.book, bytes=base64url_encode(jpeg(120)))
    fault = {"result": "fault", "weight": "cosmetic", "reason": "guard_damaged", "photo_blobs": [name]}
    checks = ["A/base/b2/2.1/guard:in"]
    phone.write(clean, "phone_seen_fault", True, checks=checks, note_blob="A nick in the guard", **fault)
    phone.write(twisted, "phone_ok", True, checks=["A/bar/b1/position:planned"])
    phone.write(twisted, "phone_ok_low_s", False, checks=["A/bar/b2/joined:b1"])
    assert phone.sync(clean)["unsent"] == phone.sync(twisted)["unsent"] == 0


def phone_stops(phone: Phone, clean: Show, twisted: Show, target: Path) -> dict[str, Any]:
    """The phone crosses the restore, sees twins of its own, and writes on without network."""
    for name in ("phone_ok", "phone_ok_low_s"):
        jws = twist(twisted.entries[name].jws)
        assert twisted.push(jws)[0].verdict == "kept"
        twisted.remember(f"{name}_twin", read_entry(jws))
    assert phone.sync(clean)["restores"] == 1
    phone.sync(twisted)
    head = clean.head()
    over = {"epoch": head.epoch, "size": head.size, "root": head.root, "own": [], "exceptions": []}
    sign = {"statement": "built", "wall": "A", "plan": clean.named["plan"], **over}
    phone.write(clean, "phone_held", True, "signed_off", **sign)
    assert phone.sync(clean)["held"] == 1
    status = {show.slug: phone.sync(show) for show in (clean, twisted)}
    _write_unsent(phone, clean)
    taken = phone.write(twisted, "phone_unsent_twisted_came_first", True, checks=["A/bar/b2/level:true"])
    assert twisted.push(twist(taken))[0].verdict == "kept"
    twisted.named["phone_unsent_twisted_came_first_twin"] = entry_id(twist(taken))
    for show in (clean, twisted):
        for what in ("unsent", "witnessed"):
            write_gz(target / f"phone.{show.slug}.{what}.jsonl.gz", phone.do(what, book=show.book).encode())
    made = phone.do("dump")
    phone.close()
    log = _lose(made, clean)
    phone.stage.keep_key("phone", _private_key(made["key"]["private_jwk"]), role="crew")
    write_gz(target / "phone.json.gz", as_json(made))
    (target / "phone.log").write_bytes(log)
    return {
        "device": made["key"]["thumbprint"],
        "seen": {
            slug: {"size": told["size"], "root": told["root"], "epoch": told["epoch"]}
            for slug, told in status.items()
        },
        "unsent": {
            "clean": [name for name in clean.named if name.startswith(("phone_unsent", "phone_held"))],
            "twisted": ["phone_unsent_twisted_came_first"],
        },
        "only_in_log": clean.named["phone_unsent_database_lost"],
        "only_in_database": clean.named["phone_unsent_log_lost"],
    }


def _write_unsent(phone: Phone, clean: Show) -> None:
    name = phone.do("photo", book=clean.book, bytes=base64url_encode(jpeg(240)))
    fault = {"result": "fault", "weight": "show", "reason": "debris", "photo_blobs": [name]}
    checks = ["A/stack/2.1/2.2/edges:clean"]
    phone.write(clean, "phone_unsent_high_s", True, checks=["A/bar/b1/level:true"])
    phone.write(
        clean, "phone_unsent_fault_with_note", True, checks=checks, note_blob="Grit, top edge", **fault
    )
    phone.write(clean, "phone_unsent_low_s", False, checks=["A/bar/b2/joined:b1"])
    lost = {"result": "fault", "weight": "cosmetic", "reason": "guard_damaged"}
    checks = ["A/base/b1/1.1/guard:in"]
    phone.write(clean, "phone_unsent_database_lost", True, checks=checks, note_blob="Only the log", **lost)
    phone.write(clean, "phone_unsent_log_lost", True, checks=checks, note_blob="Only the database", **lost)
    fault_id = clean.named["phone_seen_fault"]
    phone.write(clean, "phone_unsent_withdrawal", False, "withdrawn", entry=fault_id)


def _lose(made: dict[str, Any], clean: Show) -> bytes:
    """Take one entry with its text out of the database, another out of the log; return the log."""
    in_log, in_database = (clean.entries[f"phone_unsent_{name}_lost"] for name in ("database", "log"))
    made["entries"] = [item for item in made["entries"] if item["id"] != in_log.id]
    made["blobs"] = [item for item in made["blobs"] if item["sha256"] != in_log.body["note_blob"]]
    records = list(_records(base64url_decode(made.pop("log"))))
    gone = {in_database.jws, in_database.body["note_blob"]}
    kept = [item for item in records if item.get("jws") not in gone and item.get("sha256") not in gone]
    assert len(kept) == len(records) - 2
    return b"".join(_frame(item) for item in kept)


def _records(log: bytes) -> Any:
    while log:
        size, crc = struct.unpack(">II", log[:8])
        assert zlib.crc32(log[8 : 8 + size]) == crc
        yield json.loads(log[8 : 8 + size])
        log = log[8 + size :]


def _frame(record: dict[str, Any]) -> bytes:
    body = json.dumps(record, ensure_ascii=False, separators=(",", ":")).encode()
    return struct.pack(">II", len(body), zlib.crc32(body)) + body


def _private_key(jwk: dict[str, Any]) -> PrivateKey:
    return PrivateKey(ECKey.import_key({name: jwk[name] for name in ("kty", "crv", "x", "y", "d")}))
