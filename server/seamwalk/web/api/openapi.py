"""The phones' API as OpenAPI 3.1, made from its routes and from what stands at their views."""

import re
from collections.abc import Iterator
from http import HTTPStatus
from typing import Any, Literal

from flask import Flask
from pydantic import BaseModel, ConfigDict
from pydantic.json_schema import models_json_schema
from werkzeug.routing import Rule

from seamwalk import __version__
from seamwalk.web.api.calls import BYTES, Call
from seamwalk.web.api.schemas import ApiRequest, ErrorResponse
from seamwalk.web.cookies import device_cookie
from seamwalk.web.security import CALL_HEADER

_REF = "#/components/schemas/{model}"
_WRITES = frozenset({"POST", "PUT"})
_HEADER = {"name": CALL_HEADER, "in": "header", "required": True, "schema": {"const": "1"}}


class OpenApiResponse(BaseModel):
    """An OpenAPI document."""

    model_config = ConfigDict(extra="allow")
    openapi: str
    paths: dict[str, object]


def describe(app: Flask) -> dict[str, Any]:
    """The description of every call of the API."""
    calls = sorted(_calls(app), key=lambda item: (item[0], item[1]))
    named = {model for *_, spec in calls for model in _models(spec)} | {ErrorResponse}
    ordered = sorted(named, key=lambda model: model.__name__)
    _, schemas = models_json_schema([(model, _mode(model)) for model in ordered], ref_template=_REF)
    paths: dict[str, dict[str, Any]] = {}
    for path, method, rule, spec in calls:
        view = app.view_functions[rule.endpoint]
        paths.setdefault(path, {})[method.lower()] = _operation(method, rule, spec, view.__doc__ or "")
    cookie = {"type": "apiKey", "in": "cookie", "name": device_cookie()}
    return {
        "openapi": "3.1.0",
        "info": {"title": "Seamwalk, the phones' API", "version": __version__},
        "paths": paths,
        "components": {"schemas": schemas["$defs"], "securitySchemes": {"device": cookie}},
    }


def _calls(app: Flask) -> Iterator[tuple[str, str, Rule, Call]]:
    for rule in app.url_map.iter_rules():
        if rule.endpoint.startswith("api."):
            path = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
            for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
                view: Any = app.view_functions[rule.endpoint]
                yield path, method, rule, view.spec


def _mode(model: type[BaseModel]) -> Literal["validation", "serialization"]:
    return "validation" if issubclass(model, ApiRequest) else "serialization"


def _models(spec: Call) -> Iterator[type[BaseModel]]:
    for model in (spec.response, spec.request_body):
        if isinstance(model, type):
            yield model


def _operation(method: str, rule: Rule, spec: Call, doc: str) -> dict[str, Any]:
    made: dict[str, Any] = {"operationId": rule.endpoint.partition(".")[2], "summary": doc.split("\n")[0]}
    parameters = [*_path(rule), *_query(spec), *([_HEADER] if method in _WRITES else [])]
    if parameters:
        made["parameters"] = parameters
    if spec.request_body is not None:
        made["requestBody"] = {"required": True, "content": _content(spec.request_body)}
    if spec.signed_in:
        made["security"] = [{"device": []}]
    answer = {"description": "It went well.", "content": _content(spec.response)}
    made["responses"] = {str(spec.code): answer} | {
        str(code): {"description": HTTPStatus(code).phrase, "content": _content(ErrorResponse)}
        for code in _refusals(method, spec)
    }
    return made


def _refusals(method: str, spec: Call) -> list[int]:
    codes = {*spec.errors, 400, 503}
    codes |= {401} if spec.signed_in else set()
    codes |= {404} if spec.signed_in else set()
    codes |= {403, 413, 507} if method in _WRITES else set()
    return sorted(codes)


def _path(rule: Rule) -> Iterator[dict[str, Any]]:
    for name, converter in rule._converters.items():
        schema = {"type": "string", "pattern": f"^{converter.regex}$"}
        yield {"name": name, "in": "path", "required": True, "schema": schema}


def _query(spec: Call) -> Iterator[dict[str, Any]]:
    if spec.query is not None:
        schema = spec.query.model_json_schema()
        for name, member in schema["properties"].items():
            needed = name in schema.get("required", ())
            yield {"name": name, "in": "query", "required": needed, "schema": member}


def _content(model: type[BaseModel] | str) -> dict[str, Any]:
    if isinstance(model, str):
        return {"application/octet-stream": {"schema": {"type": "string", "contentMediaType": BYTES}}}
    return {"application/json": {"schema": {"$ref": _REF.format(model=model.__name__)}}}
