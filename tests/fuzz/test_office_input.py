"""Whatever is typed into a form or an address of the office, it is answered, and never by a 5xx."""

import io
import json
import re
from collections.abc import Sequence
from typing import Any
from urllib.parse import quote

import pytest
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.routing import Rule
from wtforms import FileField

from fuzz.fuzz_site import Fuzzed
from fuzz.fuzz_values import FILES, TYPED
from helpers import PLAN, TILE, Site
from seamwalk.domain.stock.stock_list import FIELDS
from seamwalk.web import inputs
from seamwalk.web.office.forms import (
    AdmitForm,
    CodeForm,
    CodesOffForm,
    CodesOnForm,
    DeviceForm,
    FileForm,
    InviteForm,
    LoginForm,
    NewPasswordForm,
    OfficeForm,
    ReasonForm,
    ShowForm,
)
from seamwalk.web.office.routes import office
from seamwalk.web.office.show.contacts import ContactsForm
from seamwalk.web.office.stock.label_form import GridParams, LabelForm, RevokeForm
from seamwalk.web.office.stock.stock import MappingForm
from seamwalk.web.office.stock.thing_forms import ClaimForm, EditForm, ListForm, TypeForm
from seamwalk.web.office.wall.plan_form import PlanForm, PlanJsonForm
from seamwalk.web.shell import shell

GET_ROUNDS, POST_ROUNDS, SLOW_ROUNDS = 8, 15, 5
PAPER = {"page_width_mm": "210", "page_height_mm": "297", "columns": "3", "rows": "8"}
LIST = {"text": "code,kind\n,tile\n", "code": "0", "kind": "1", "accept": "1"}
# endpoint -> its form, what its page reads beside it, and a form that is taken; `@` is what is known
FORMS: dict[str, tuple[type[OfficeForm], tuple[str, ...], dict[str, str]]] = {
    "admit": (AdmitForm, (), {"name": "Rosa", "role": "crew"}),
    "claim_open": (ClaimForm, (), {"against": "Hire", "part": "corner:top_left", "seen": "@seen"}),
    "codes_off": (CodesOffForm, (), {}),
    "codes_on": (CodesOnForm, (), {}),
    "device": (DeviceForm, (), {"name": "Rosa", "role": "crew"}),
    "end_other_sessions": (OfficeForm, (), {}),
    "end_session": (OfficeForm, (), {}),
    "publish_prep_list": (OfficeForm, (), {}),
    "publish_procedures": (OfficeForm, (), {}),
    "publish_stock": (OfficeForm, (), {}),
    "invite": (InviteForm, (), {"role": "crew", "hours": "2"}),
    "label_revoke": (RevokeForm, (), {"revoked": "@code", "reason": "torn"}),
    "labels": (LabelForm, (), {"kind": "tile", "count": "1", "page": "A4", "start": "1", **PAPER}),
    "let_in": (ReasonForm, (), {"reason": "known"}),
    "log_in": (LoginForm, (), {"login": "anna"}),
    "log_in_code": (CodeForm, (), {}),
    "log_out": (OfficeForm, (), {}),
    "new_password": (NewPasswordForm, (), {}),
    "new_recovery_codes": (CodesOffForm, (), {}),
    "new_show": (ShowForm, (), {"title": "Another", "slug": "another"}),
    "plan_wall": (PlanForm, ("sheet_only",), {"wall": "B", "sheet_only": "1"}),
    "plan_wall_json": (PlanJsonForm, ("sheet_only",), {"wall": "C", "text": json.dumps(PLAN)}),
    "procedures": (FileForm, (), {}),
    "revoke": (ReasonForm, (), {"reason": "lost"}),
    "show_contacts": (ContactsForm, (), {"lines": "Jo Lind, rigger, +49 30 5550123"}),
    "stock": (FileForm, (), {}),
    "stock_list": (MappingForm, ("accept", *FIELDS), LIST),
    "revoke_invites": (OfficeForm, (), {}),
    "take_in": (FileForm, (), {}),
    "things_edit": (
        EditForm,
        ("code", "text", "kind", "status"),
        {"field": "batch", "value": "c", "code": "@code"},
    ),
    "things_forget": (OfficeForm, ("name",), {}),
    "things_keep": (ListForm, ("text", "kind", "status"), {"name": "mine"}),
    "things_undo": (OfficeForm, (), {}),
    "types": (TypeForm, (), {"kind": "case", "type": "", "mass_kg": "9"}),
}
ENDING_SESSIONS = {"log_out", "log_in", "log_in_code", "new_password", "codes_on", "end_other_sessions"}
# a password is proven by work that takes its time
PROVING = {"log_in", "new_password", "codes_on", "codes_off"}
# what pages read of an address
ASKED = ("text", "kind", "status", "view", "lang", "next", "tile", "wall", "role", "person", "claim", "what")
ADDRESSES = {name: {"codes": "@code", **PAPER} for name in ("label_print", "label_pdf")}


def rules(method: str) -> list[Rule]:
    """The routes of the office and of what strangers see, read off the routes themselves."""
    app = Flask("routes", static_folder=None)
    inputs.install(app)
    app.register_blueprint(office)
    app.register_blueprint(shell)
    return [rule for rule in app.url_map.iter_rules() if method in (rule.methods or ())]


def named(rule: Rule) -> str:
    return str(rule.endpoint).partition(".")[2]


def known(fuzzed: Fuzzed, name: str, data: st.DataObject, route: str = "") -> str:
    """What a name can be: mostly what is there, sometimes anything."""
    there = st.sampled_from(fuzzed.known.get(f"{route}.{name}") or fuzzed.known.get(name, ("x",)))
    return data.draw(TYPED if data.draw(st.integers(0, 9)) == 9 else there)


def address(fuzzed: Fuzzed, rule: Rule, data: st.DataObject) -> str:
    """A path of a route."""

    def part(found: re.Match[str]) -> str:
        return quote(known(fuzzed, found[1], data, named(rule)), safe="")

    return re.sub(r"<(?:\w+:)?(\w+)>", part, rule.rule)


def changed(
    fuzzed: Fuzzed, data: st.DataObject, sample: dict[str, str], names: Sequence[str]
) -> dict[str, str]:
    """What is taken, with some of it left out or changed to anything."""
    there = {name: known(fuzzed, v[1:], data) if v.startswith("@") else v for name, v in sample.items()}
    changes = (
        data.draw(st.dictionaries(st.sampled_from(names), TYPED | st.none(), max_size=3)) if names else {}
    )
    return {name: value for name, value in (there | changes).items() if value is not None}


@pytest.mark.parametrize("rule", rules("GET"), ids=named)
def test_every_address_is_answered(fuzzed: Fuzzed, rule: Rule) -> None:
    sample = ADDRESSES.get(named(rule), {})
    names = [*ASKED, *(GridParams.model_fields if sample else ())]

    @fuzzed.rounds(GET_ROUNDS)
    @given(st.data())
    def ask(data: st.DataObject) -> None:
        query = changed(fuzzed, data, sample, names)
        fuzzed.ask(fuzzed.office.get, address(fuzzed, rule, data), query_string=query).close()

    ask()
    assert fuzzed.taken, "nothing that is there was met"


def fields_of(form: type[OfficeForm]) -> dict[str, type]:
    """The kinds of a form's fields by name, as its class holds them."""
    found = {name: getattr(form, name) for name in dir(form) if not name.startswith("_")}
    return {name: field.field_class for name, field in found.items() if hasattr(field, "field_class")}


def whole_plan() -> dict[str, str]:
    """A plan as its form holds it."""
    flat = {**PLAN, **TILE, "tile_key": TILE["key"], "tile_reference": "invented manual"}
    return {name: str(flat[name]) for name in fields_of(PlanForm) if name in flat and name != "tile"}


@pytest.mark.parametrize("rule", rules("POST"), ids=named)
def test_every_form_is_answered(fuzzed: Fuzzed, rule: Rule) -> None:
    name = named(rule)
    form, more, sample = FORMS[name]
    sample = whole_plan() | sample if form is PlanForm else sample
    kinds = fields_of(form)
    files = [field for field, kind in kinds.items() if issubclass(kind, FileField)]
    names = [field for field in (*kinds, *more) if field not in files]

    @fuzzed.rounds(SLOW_ROUNDS if name in PROVING else POST_ROUNDS)
    @given(st.data())
    def send(data: st.DataObject) -> None:
        fields: dict[str, Any] = {"csrf_token": fuzzed.csrf, **changed(fuzzed, data, sample, names)}
        fields |= {field: (io.BytesIO(data.draw(FILES)), "a.csv") for field in files}
        query = changed(fuzzed, data, {}, ASKED)
        fuzzed.ask(fuzzed.office.post, address(fuzzed, rule, data), query_string=query, data=fields).close()

    send()
    assert fuzzed.taken, "the form was never taken"
    if name in ENDING_SESSIONS:
        fuzzed.log_in()


def test_every_form_of_the_office_is_in_the_table(site: Site) -> None:
    assert {named(rule) for rule in rules("POST")} == set(FORMS)
    own = {rule.endpoint for rule in site.app.url_map.iter_rules() if "POST" in (rule.methods or ())}
    assert {name for name in own if not name.startswith("api.")} == {f"office.{name}" for name in FORMS}
