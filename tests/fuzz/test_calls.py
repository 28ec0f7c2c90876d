"""The phones' API is what its description says: every route is in it, every answer fits, none is a 5xx."""

import re
from typing import Any

import pytest
import schemathesis
from flask import Flask
from hypothesis import given
from hypothesis import strategies as st
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from fuzz.fuzz_site import CALL, Fuzzed
from helpers import Site, client_of
from seamwalk.web import inputs
from seamwalk.web.api.routes import api

ROUNDS = 15
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
HIDDEN = {"HEAD", "OPTIONS"}


def routes() -> list[tuple[str, str]]:
    """Every method and path of the API, read off the routes themselves."""
    app = Flask("routes")
    inputs.install(app)
    app.register_blueprint(api)
    rules = [rule for rule in app.url_map.iter_rules() if rule.endpoint.startswith("api.")]
    return [
        (method, re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule))
        for rule in rules
        for method in sorted((rule.methods or set()) - HIDDEN)
    ]


ROUTES = routes()
MODES = {"good": GenerationMode.POSITIVE, "bad": GenerationMode.NEGATIVE}
# a call that takes nothing cannot be called wrongly
CALLS = [
    pytest.param(method, path, MODES[mode], id=f"{method} {path} {mode}")
    for method, path in ROUTES
    for mode in MODES
    if mode == "good" or method != "GET" or "{" in path
]


def test_every_route_is_described(site: Site) -> None:
    described = site.app.test_client().get("/api/v1/openapi.json").get_json()
    assert described["openapi"].startswith("3.1")
    found = [(method.upper(), path) for path, calls in described["paths"].items() for method in calls]
    assert sorted(found) == sorted(ROUTES)


@pytest.mark.parametrize(("method", "path", "mode"), CALLS)
def test_every_answer_is_as_described(fuzzed: Fuzzed, method: str, path: str, mode: GenerationMode) -> None:
    schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", fuzzed.site.app)
    operation: Any = schema[path][method]

    @fuzzed.rounds(ROUNDS)
    @given(operation.as_strategy(generation_mode=mode), st.data())
    def send(case: Any, data: st.DataObject) -> None:
        known = {"book": fuzzed.site.book, "name": fuzzed.known["sha256"][0]}
        for part in set(case.path_parameters or {}) & set(known):
            if data.draw(st.booleans()):
                case.path_parameters[part] = known[part]
        if isinstance(case.body, dict) and "device" in case.body and data.draw(st.booleans()):
            case.body["device"] = fuzzed.phone.key.thumbprint
        answer = fuzzed.ask(case.call, headers=CALL, cookies=cookies(fuzzed))
        case.validate_response(answer, checks=CHECKS)

    send()


def cookies(fuzzed: Fuzzed) -> dict[str, str]:
    cookie = client_of(fuzzed.phone).get_cookie("seamwalk_device", domain="localhost")
    return {} if cookie is None else {cookie.key: cookie.value}
