"""The command line: help everywhere, one clear line for bad input, and an exit code."""

import json
from pathlib import Path

import pytest

from helpers import make_site
from seamwalk.book.excerpt import write_excerpt
from seamwalk.cli import main
from seamwalk.domain.stock.codes import Code
from small_book import Writer

COMMANDS = [
    "demo",
    "serve",
    "account",
    "books",
    "copy",
    "export",
    "excerpt",
    "verify",
    "restore",
    "check",
    "take-in",
    "rebuild",
    "schema",
    "sheet",
    "labels",
]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with one show."""
    site = make_site(tmp_path, f"sqlite:///{tmp_path / 'seamwalk.db'}")
    site.phone()
    site.store.engine.dispose()
    monkeypatch.setenv("SEAMWALK_DIR", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main([command, "--help"])
    assert caught.value.code == 0
    assert len(capsys.readouterr().out) > 100


def test_a_fingerprint_may_begin_with_a_dash(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder / "book.txt"
    assert main(["export", "--dir", str(folder), "test-show", "-o", str(file)]) == 0
    assert main(["verify", str(file), "--trust", "-" * 43]) == 1
    assert "not to the fingerprint you trust" in capsys.readouterr().err


def test_a_book_goes_out_and_verifies(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = folder / "book.txt"
    assert main(["export", "--dir", str(folder), "test-show", "-o", str(file)]) == 0
    assert main(["verify", str(file)]) == 0
    said = capsys.readouterr().out
    assert "consistent" in said
    owner = said.split("owner is ")[1].split()[0]
    assert main(["verify", str(file), "--trust", owner]) == 0
    assert "holds" in capsys.readouterr().out
    file.write_bytes(file.read_bytes().replace(b'"entry"', b'"Entry"', 1))
    assert main(["verify", str(file)]) == 1
    assert "line 2: a line with entry is needed here" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["export", "nothing", "-o", "-"], "book nothing is not here"),
        (["verify", "no-such-file"], "no-such-file: No such file"),
        (["serve", "--certificate", "x"], "one comes without the other"),
    ],
)
def test_bad_input_is_one_clear_line(
    folder: Path, arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    error = capsys.readouterr().err
    assert message in error
    assert error.count("\n") == 1


def test_the_demo_wants_a_fresh_folder(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--dir", str(folder), "--no-serve"]) == 2
    assert "is not empty" in capsys.readouterr().err


def test_rebuild_and_books_name_each_book(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rebuild", "--dir", str(folder)]) == 0
    assert "test-show: 3 entries read again" in capsys.readouterr().out
    assert main(["books"]) == 0
    assert "test-show" in capsys.readouterr().out


def test_schemas_are_published(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "plan"]) == 0
    assert "columns" in json.loads(capsys.readouterr().out)["properties"]
    assert main(["schema", "sheet"]) == 0
    assert "points_mm" in capsys.readouterr().out
    assert main(["schema", "entries"]) == 0
    assert "found" in json.loads(capsys.readouterr().out)


def test_labels_are_given_out_and_written_as_pdf(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder, pdf = str(tmp_path / "data"), tmp_path / "labels.pdf"
    on_roll = ["labels", "--dir", folder, "--page", "62x29", "-o", str(pdf)]
    assert main([*on_roll, "--kind", "case", "--count", "3"]) == 0
    assert "3 labels, HQ-C-00001-" in capsys.readouterr().out
    assert pdf.read_bytes().count(b"/Type/Page/Parent") == 3
    assert main([*on_roll, "--kind", "case"]) == 0
    assert "1 labels, HQ-C-00004-" in capsys.readouterr().out
    code = Code("HQ", "C", 2).grouped
    assert main([*on_roll, "--again", code, code]) == 0
    assert f"2 labels, {code}" in capsys.readouterr().out
    for wrong, said in (
        (["--page", "big"], "'big' is not a page size"),
        (["--page", "12x12"], "mm a module where"),
        (["--count", "0"], "0 labels cannot be made"),
        (["--again", "HQ-C-00002-0"], "is not a label code"),
    ):
        assert main([*on_roll, *wrong]) == 2
        assert said in capsys.readouterr().err


def test_the_format_of_a_book_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "format"]) == 0
    assert "## The order of tests" in capsys.readouterr().out


def test_what_follows_an_excerpt_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = Writer()
    text = write_excerpt(book.entries, book.signed_head(), book.ids()[0])
    file = tmp_path / "excerpt.json"
    file.write_text(text)
    assert main(["verify", str(file)]) == 0
    file.write_text(text + text)
    assert main(["verify", str(file)]) == 1
    assert "excerpt: not JSON" in capsys.readouterr().err


def test_an_excerpt_says_that_its_entry_has_no_effect(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A phone that was revoked, and that its own old admission let in again under rules 1."""
    book = Writer(rules=1)
    book.admit()
    book.write("device_revoked", {"device": book.phone.thumbprint, "reason": "lost"})
    book.twist(1)
    wanted = book.find()
    file = tmp_path / "excerpt.json"
    file.write_text(write_excerpt(book.entries, book.signed_head(), wanted))
    assert main(["verify", str(file)]) == 0
    assert "it has no effect in this book: only such a second text" in capsys.readouterr().out
