"""A reader written from FORMAT.md alone, with other libraries, says of every file what ours says."""

import ast
import json
import re
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path

import pytest
import second_reader
from forgeries import forgeries
from second_reader.excerpts import root_of_path
from second_reader.exports import root_hash
from two_readers import FORMAT, both, printed

from first_edition.opened import BOOKS, HERE, unpacked
from seamwalk.book.excerpt import write_excerpt
from seamwalk.book.judgement import Held, Refused
from seamwalk.book.merkle import root_of
from seamwalk.book.parsing import read_kept
from seamwalk.book.readers import EVERYBODY
from seamwalk.book.roles import RIGHTS, Duty, Role, Statement
from seamwalk.config import Settings
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book
from seamwalk_demo import make_show

READER = Path(second_reader.__file__).parent
BOOK_CODE = FORMAT.parent
Record = Callable[[str, object], None]
DEMO = ["company", "hafenfest", "wintergala"]


# --- the document and the reader ---


def test_the_reader_imports_nothing_of_ours_and_is_small() -> None:
    sources = [path.read_text() for path in READER.glob("*.py")]
    imported = {name.partition(".")[0] for source in sources for name in _imports(ast.parse(source))}
    assert imported - {"second_reader"} <= {*_STANDARD, "jwcrypto", "jsonschema"}
    lines = [line for source in sources for line in source.splitlines() if line.strip()]
    assert len([line for line in lines if not line.lstrip().startswith(("#", '"""'))]) < 650


_STANDARD = {"base64", "collections", "dataclasses", "datetime", "functools", "hashlib", "json", "math"}
_STANDARD |= {"pathlib", "re", "sys", "typing"}


def _imports(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom):
            yield node.module or ""
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)


def test_the_command_prints_the_document() -> None:
    assert printed("schema", "format") == FORMAT.read_text()


def test_the_documents_table_of_roles_is_the_one_that_holds() -> None:
    assert roles_table() in FORMAT.read_text()


def codes_in_the_source() -> set[str]:
    """Every code under which something of a book can be refused."""
    trees = [ast.parse(path.read_text()) for path in BOOK_CODE.glob("*.py")]
    found = {code for tree in trees for node in ast.walk(tree) for code in _codes(node)}
    # a server says `malformed` where a file's code is more exact
    return found | {*Held, *Refused} - {Refused.MALFORMED}


def _codes(node: ast.AST) -> Iterator[str]:
    """The code that a call raises: last of an error's arguments, first of those that give or name one."""
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
        return
    name, told = node.func.id, [item.value for item in node.args if isinstance(item, ast.Constant)]
    if name in ("BookError", "VerifyError") and len(node.args) == 3:
        yield from map(str, told[-1:])
    elif name in ("_coded", "_wrong"):
        yield from (str(code).partition(".")[0] for code in told[:1])


def test_every_code_stands_in_the_document_and_is_met_by_a_forgery() -> None:
    codes = codes_in_the_source()
    assert len(codes) > 40
    order = FORMAT.read_text().partition("## The order of tests")[2].partition("## Flags")[0]
    assert codes - {"seal"} <= set(re.findall(r"`([a-z0-9_]+)`", order))
    assert {forgery.code for forgery in forgeries()} - {""} == codes


def test_the_readers_tree_is_the_rfcs() -> None:
    """Source: in tests/vectors/merkle.json."""
    told = json.loads((Path(__file__).parents[1] / "vectors" / "merkle.json").read_text())
    leaves = [sha256(b"\x00" + bytes.fromhex(leaf)).digest() for leaf in told["leaves_hex"]]
    for size, root in enumerate(told["roots_by_size"]):
        assert root_hash(leaves[:size]).hex() == root
    for place, path in told["inclusion_proofs"].items():
        index, size = map(int, place.split("/"))
        found = root_of_path(leaves[index], index, size, [bytes.fromhex(node) for node in path])
        assert found.hex() == told["roots_by_size"][size]


# --- forgeries ---


def test_both_refuse_every_forgery_for_the_same_reason(record_property: Record) -> None:
    wrong, refused, taken = [], 0, 0
    for forgery in forgeries():
        try:
            said = both(forgery.data, forgery.trusted, forgery.seals)[0]
        except AssertionError as error:
            said = str(error)
        if said != (forgery.code or "ok"):
            wrong.append((forgery.name, forgery.code, said))
        refused, taken = refused + bool(forgery.code), taken + (not forgery.code)
    record_property(
        "counted", f"{refused} forgeries refused and {taken} odd but good files taken by both readers"
    )
    assert wrong == []
    assert refused >= 150


# --- true books ---


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[bytes, str]]:
    """The exports of the demo's books, each with its owner's fingerprint."""
    folder = tmp_path_factory.mktemp("demo")
    url = f"sqlite:///{folder / 'seamwalk.db'}"
    make_show(
        Settings(folder, url, "http://localhost:8460", "not a secret", label_prefix="QD"), lambda _: None
    )
    store, found = Store(make_engine(url)), {}
    with store.read() as session:
        for name in DEMO:
            book = find_book(session, name)
            found[name] = "".join(export_book(session, book)).encode(), book.owner_fingerprint
    store.engine.dispose()
    return found


@pytest.mark.parametrize("name", DEMO)
def test_both_read_the_demos_books(demo: dict[str, tuple[bytes, str]], name: str) -> None:
    assert both(*demo[name]) == ("ok", {})


@pytest.mark.parametrize("name", DEMO)
def test_both_read_a_book_with_bare_leaves(demo: dict[str, tuple[bytes, str]], name: str) -> None:
    data, owner = demo[name]
    said, counts = both(hidden(data), owner)
    assert said == "ok"
    assert counts["hidden"] > 20


def hidden(data: bytes) -> bytes:
    """An export as a reader of trust entries alone would get it."""
    lines = data.splitlines(keepends=True)
    first = json.loads(lines[0])
    made, named = [], set()
    for raw in lines[1 : first["size"] + 1]:
        entry = read_kept(json.loads(raw)["entry"])
        shown = entry.type in EVERYBODY
        named |= {entry.body.get("name_blob")} if shown else set()
        made.append(raw if shown else f'{{"leaf":"{entry.id}"}}\n'.encode())
    blobs = [raw for raw in lines[first["size"] + 2 :] if json.loads(raw)["blob"] in named]
    head = json.dumps(first | {"blobs": len(blobs)}, separators=(",", ":")).encode() + b"\n"
    return b"".join([head, *made, lines[first["size"] + 1], *blobs])


@pytest.mark.parametrize("name", DEMO)
def test_both_read_excerpts_and_seals_of_the_demos_books(
    demo: dict[str, tuple[bytes, str]], name: str
) -> None:
    data, owner = demo[name]
    lines = data.splitlines()
    first = json.loads(lines[0])
    texts = [json.loads(raw)["entry"] for raw in lines[1 : first["size"] + 1]]
    ids = [read_kept(text).id for text in texts]
    head = json.loads(lines[first["size"] + 1])["head"]
    seals = []
    for index in (0, 1, len(ids) // 3, len(ids) - 1):
        excerpt = write_excerpt(texts, head, ids[index]).encode()
        assert both(excerpt, owner) == ("ok", {})
        root = root_of([bytes.fromhex(leaf) for leaf in ids[: index + 1]]).hex()
        seals.append(f"SEAMWALK1:{first['book']}:1:{index + 1}:{root}:{ids[index]}".upper())
    assert both(data, owner, seals) == ("ok", {})


@pytest.mark.parametrize("name", BOOKS)
def test_both_read_the_first_editions_books(name: str) -> None:
    assert both(unpacked(f"{name}.export.jsonl.gz"), BOOKS[name]["fingerprint"])[0] == "ok"


@pytest.mark.parametrize("path", sorted(HERE.glob("*.excerpt.json")), ids=lambda path: path.name)
def test_both_read_the_first_editions_excerpts(path: Path) -> None:
    assert both(path.read_bytes()) == ("ok", {})


def roles_table() -> str:
    """The table as FORMAT.md shows it: which role writes which entries and signs which statements."""
    roles = list(Role)
    types = sorted(set().union(*(rights.entry_types for rights in RIGHTS.values())))
    head = ["entry", *(role.value for role in roles)]
    rows = [[f"`{name}`", *(_mark(name in RIGHTS[role].entry_types) for role in roles)] for name in types]
    rows += [
        [f"`signed_off` of `{statement}`", *(_mark(statement in RIGHTS[role].statements) for role in roles)]
        for statement in Statement
    ]
    rows += [
        [f"`stop_released` of `{duty}`", *(_mark(duty in RIGHTS[role].duties) for role in roles)]
        for duty in Duty
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in [head, ["---"] * len(head), *rows])


def _mark(may: bool) -> str:
    return "yes" if may else ""
