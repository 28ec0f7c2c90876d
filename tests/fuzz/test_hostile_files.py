"""Spreadsheets, procedure files, plans and photos that were made to occupy or break whoever reads them."""

import io
import json
import zipfile
from contextlib import suppress
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from werkzeug.test import TestResponse

from fuzz.fuzz_hostile import ENTITIES, LONE, sheet, workbook
from helpers import PLAN, Site, logged_in, send, token
from seamwalk.domain.sheet.spares import spares_needed
from seamwalk.errors import BookError, ProcedureError, TableError
from seamwalk.procedures import company_edition
from seamwalk.spreadsheets import MAX_ROWS, read_table
from seamwalk.store.ledger.photos import check_photo

MANY_SHEETS = "".join(f'<sheet name="s{n}" sheetId="{n}" r:id="rId1"/>' for n in range(1, 2001))
BOOK = f"""<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"
 xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">
<sheets>{MANY_SHEETS}</sheets></workbook>"""
XLSX: dict[str, tuple[bytes, str]] = {
    "entities": (workbook(xl__worksheets__sheet1_xml=ENTITIES), "as no office program does"),
    "entities in another encoding": (
        workbook(xl__worksheets__sheet1_xml=ENTITIES.replace("?>", ' encoding="utf-16"?>', 1), code="utf-16"),
        "as no office program does",
    ),
    "a million rows": (sheet("<row/>" * 1_000_000), "more than can be read"),
    "a million cells in a row": (sheet(f"<row>{'<c/>' * 1_000_000}</row>"), "more than can be read"),
    "rows far apart": (sheet('<row r="1"><c/></row><row r="1000000000"><c/></row>'), "over 50001 rows"),
    "wide rows": (sheet('<row><c r="XFD1"><v>1</v></c></row>' * 1000), "over 50001 rows or 1000000 cells"),
    "a column that is none": (sheet('<row><c r="ZZZZZZZZZ1"/></row>'), "is no XLSX"),
    "a row that is none": (sheet('<row r="x"><c/></row>'), "is no XLSX"),
    "a text that is not there": (sheet('<row><c t="s"><v>99</v></c></row>'), "is no XLSX"),
    "a number that is none": (sheet("<row><c><v>x</v></c></row>"), "is no XLSX"),
    "a long number": (sheet(f"<row><c><v>{'9' * 5000}</v></c></row>"), "is no XLSX"),
    "a day that is none": (sheet('<row><c t="d"><v>2026-99-99</v></c></row>'), "is no XLSX"),
    "no rows in a wide dimension": (sheet(""), "is empty"),
    "not XML": (workbook(xl__worksheets__sheet1_xml="<row"), "is no XLSX"),
    "no sheets": (workbook(xl__workbook_xml="<workbook/>"), "is no XLSX"),
    "half of it": (workbook()[:900], "is no XLSX"),
}


@pytest.mark.parametrize(("data", "said"), XLSX.values(), ids=XLSX)
def test_a_workbook_made_to_harm_is_refused_with_a_clear_error(data: bytes, said: str) -> None:
    with pytest.raises(TableError, match=said) as caught:
        read_table(data, "list.xlsx")
    assert caught.value.remedy


def test_a_workbook_that_grows_is_refused_before_it_is_unpacked() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b" " * 40_000_000)
    with pytest.raises(TableError, match="too large once unpacked"):
        read_table(out.getvalue(), "list.xlsx")


def test_only_the_first_sheet_of_many_is_opened() -> None:
    assert read_table(workbook(xl__workbook_xml=BOOK), "list.xlsx") == [["code", "kind"], ["", "tile"]]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"a,b\n" + b"1,2\n" * (MAX_ROWS + 1), "over 50001 rows"),
        (b"," * 1_000_001, "over 50001 rows or 1000000 cells"),
        (b"a,b\n1,\x00\n", "row 2: holds a NUL"),
        (b"a\n" + (b'"' + b"x" * 100_000 + b'"\n') * 45, "characters"),
    ],
)
def test_a_list_made_to_harm_is_refused_with_a_clear_error(data: bytes, said: str) -> None:
    with pytest.raises(TableError, match=said):
        read_table(data, "list.csv")


def uploaded(site: Site, path: str, data: bytes, name: str) -> TestResponse:
    client = logged_in(site)
    fields = {"csrf_token": token(client.get(path).text), "upload": (io.BytesIO(data), name)}
    return client.post(path, data=fields)


def test_the_office_says_so_at_the_field(site: Site) -> None:
    page = uploaded(site, "/office/stock", XLSX["a million rows"][0], "list.xlsx")
    assert page.status_code == 200
    assert "more than can be read" in page.text


DEEP_YAML = "procedures: " + "[" * 200 + "]" * 200
LAUGHS = "texts: {en: {a: &a [x, x, x, x, x, x, x, x, x], b: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a]}}"
YAML = {
    "deep": (DEEP_YAML, "nested more than 20 deep"),
    "deep in blocks": ("\n".join(f"{' ' * n}a:" for n in range(600)), "nested more than 20 deep"),
    "an alias": (LAUGHS, "an alias"),
    "an impossible day": ("procedures: {a: 2026-99-99}", "procedures.a"),
    "an impossible moment": ("procedures: {a: 2026-02-30T99:99:99Z}", "procedures.a"),
    "a tag": ("procedures: {a: !!timestamp abc}", "a tag"),
    "a tag of Python": ("procedures: !!python/object/apply:os.system [ls]", "a tag"),
    "a number that is none": ("procedures: {a: 0x_}", "none of its kind"),
    "a long number": (f"procedures: {{a: {'9' * 5000}}}", "none of its kind"),
    "a key that is a list": ("procedures: {[a]: b}", "not YAML"),
    "a NUL": ('texts: {en: {a: "\\0"}}', "NUL"),
    "a raw NUL": ("texts: \0", "not YAML"),
    "no names": ("procedures: [1]", "names with what belongs to them"),
    "no texts": ("texts: [1]", "names with what belongs to them"),
    "long": ("texts:\n" + "  a: b\n" * 60_000, "longer than"),
    "torn": ("procedures: {", "not YAML"),
    "nothing": ("", "only procedures and texts"),
}


@pytest.mark.parametrize(("text", "said"), YAML.values(), ids=YAML)
def test_a_procedure_file_made_to_harm_is_refused_with_a_clear_error(text: str, said: str) -> None:
    with pytest.raises(ProcedureError, match=said) as caught:
        company_edition("ours.yaml", text)
    assert caught.value.message.startswith("ours.yaml:")


def test_as_many_steps_as_nobody_walks_are_refused() -> None:
    steps = "".join(f"      - {{key: s{n}}}\n" for n in range(5000))
    text = f"procedures:\n  x:\n    key: x\n    at: wall\n    steps:\n{steps}"
    with pytest.raises(ProcedureError, match=r"steps: .* at most 200"):
        company_edition("ours.yaml", text)


@pytest.mark.parametrize("text", [DEEP_YAML, YAML["an impossible day"][0], "\0"])
def test_the_office_says_what_is_wrong_with_a_procedure_file(site: Site, text: str) -> None:
    page = uploaded(site, "/office/procedures", text.encode(), "ours.yaml")
    assert page.status_code == 200
    assert "ours.yaml:1" in page.text


FRAGMENTS = [
    "procedures:",
    "texts:",
    " en:",
    " a: ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    "&a ",
    "*a",
    "!!int ",
    "\n",
    "<<: ",
    "1:2",
    "'",
    '"',
    "2026-01-01",
    ".inf",
    "? ",
    "| ",
    "\t",
    "#",
    "%YAML 9",
    "---\n",
    "\ud7ff",
    "\x00",
]


@given(st.lists(st.sampled_from(FRAGMENTS) | st.text(max_size=3), max_size=25).map("".join))
def test_any_procedure_file_is_read_or_refused(text: str) -> None:
    with suppress(ProcedureError):
        company_edition("ours.yaml", text)


def picture(**options: Any) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((32, 24), 50).convert("RGB").save(out, "JPEG", **options)
    return out.getvalue()


EXIF = b"Exif\0\0MM\0*\0\0\0\x08" + bytes(6)
PICTURES = [picture(), picture(progressive=True), picture(exif=EXIF, comment=b"hello", dpi=(72, 72))]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (picture(exif=EXIF), "metadata"),
        (picture(exif=EXIF.replace(b"*", b"!")), "metadata"),
        (picture(xmp=b"<x:xmpmeta/>"), "metadata"),
        (picture()[:-200], "not a whole JPEG"),
        (PICTURES[1][:-2] + PICTURES[1][PICTURES[1].rindex(b"\xff\xda") :] * 100, "over"),
        (picture().replace(b"\x00\x18\x00\x20", b"\xff\xff\xff\xff", 1), "JPEG|pixels"),
    ],
    ids=["exif", "bad exif", "xmp", "half", "scans", "pixels"],
)
def test_a_photo_made_to_harm_is_refused_with_a_clear_error(data: bytes, said: str) -> None:
    with pytest.raises(BookError, match=said):
        check_photo(data)


@given(
    st.sampled_from(PICTURES),
    st.lists(
        st.tuples(st.integers(2, 700), st.integers(0, 30), st.binary(max_size=4)), min_size=1, max_size=6
    ),
)
def test_any_photo_is_taken_or_refused(data: bytes, changes: list[tuple[int, int, bytes]]) -> None:
    for at, cut, put in changes:
        data = data[:at] + put + data[at + cut :]
    with suppress(BookError):
        check_photo(data)


CASE = {"tile": "plover_500", "tiles": 1, "batch": "b"}
PLANS: list[tuple[dict[str, Any], str]] = [
    ({"columns": 1000, "rows": 1000}, "1000000 cells where 20000 are the most"),
    ({"columns": 200, "rows": 60}, "12000 tiles where 5000 are the most"),
    ({"placements": [{"column": 1, "row": 1, "tile": "plover_500"}] * 6000}, "6000 tiles"),
    ({"stock": {"cases": [CASE | {"case": f"c{n}"} for n in range(6000)]}}, "6000 cases"),
    ({"stock": {"cases": [CASE | {"case": f"c{n}", "batch": f"b{n}"} for n in range(501)]}}, "501 batches"),
    ({"clamp_rows": [1] * 100_000}, "at most 1000 items"),
    ({"spares": {"days": 1e6, "rates": {"module": 1e6}}}, "no count of spares helps"),
    ({"name": "x\0"}, "NUL"),
    ({"name": LONE}, "surrogate"),
    ({"columns": 10**20}, "beyond 2"),
]


@pytest.mark.parametrize(("changes", "said"), PLANS, ids=[said for _, said in PLANS])
def test_a_plan_made_to_harm_is_refused_with_a_clear_error(
    site: Site, changes: dict[str, Any], said: str
) -> None:
    fields = {"wall": "B", "text": json.dumps(PLAN | changes)}
    page = send(logged_in(site), "/office/shows/test-show/plan-json", **fields)
    assert page.status_code == 200
    assert said in page.text


def test_a_deep_plan_is_refused_before_it_is_read(site: Site) -> None:
    deep = '{"name":' + "[" * 50_000 + "]" * 50_000 + "}"
    page = send(logged_in(site), "/office/shows/test-show/plan-json", wall="B", text=deep)
    assert "nested more than 10 deep" in page.text


def test_spares_are_counted_however_sure_one_wants_to_be() -> None:
    assert 1 <= spares_needed(1000, 0.001, 1, 0.9999999999999999) < 100
