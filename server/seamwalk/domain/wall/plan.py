"""Read a plan, refusing what cannot be built, every problem by path."""

import json
from typing import Any

from pydantic import ValidationError

from seamwalk.domain.wall.plan_model import Plan
from seamwalk.domain.wall.plan_problems import plan_problems
from seamwalk.domain.wall.plan_size import check_size
from seamwalk.errors import PlanError, Problem

MAX_PROBLEMS = 100


def parse_plan(source: str | dict[str, Any]) -> Plan:
    """Read a plan from JSON text or a dict; raise PlanError naming every problem by path."""
    return _whole(_model(load_plan(source) if isinstance(source, str) else source))


def parse_new_plan(source: dict[str, Any]) -> Plan:
    """Read a plan that comes in; raise PlanError also for one that is too large to be planned as one wall."""
    plan = _model(source)
    check_size(plan)
    return _whole(plan)


def _model(data: dict[str, Any]) -> Plan:
    try:
        return Plan.model_validate(data)
    except ValidationError as error:
        raise PlanError(tuple(_problem(item) for item in error.errors()[:MAX_PROBLEMS])) from error


def _whole(plan: Plan) -> Plan:
    problems = tuple(dict.fromkeys(plan_problems(plan)))
    if problems:
        raise PlanError(problems)
    return plan


def plan_json_schema() -> dict[str, Any]:
    """The plan's JSON Schema."""
    return Plan.model_json_schema()


def load_plan(text: str) -> dict[str, Any]:
    """Read JSON text; raise PlanError when it is not a JSON object."""
    try:
        data = json.loads(text, parse_constant=_refuse_constant)
    except (ValueError, RecursionError) as error:
        problem = Problem("plan", f"not JSON: {error}", "Correct the JSON text there.")
        raise PlanError((problem,)) from error
    if not isinstance(data, dict):
        raise PlanError((Problem("plan", "is not a JSON object", "Write it as { ... }, one field each."),))
    return data


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number")


def _problem(item: Any) -> Problem:
    path = ""
    for part in item["loc"]:
        path += f"[{part}]" if isinstance(part, int) else f".{part}" if path else str(part)
    if item["type"] == "extra_forbidden":
        return Problem(path, "is not a field of a plan", "Take it out, or correct its spelling.")
    if item["type"] == "missing":
        return Problem(path, "is missing", "Give it: it has no default.")
    value = item["input"]
    shown = f"{value!r}: " if isinstance(value, int | float | str) and len(repr(value)) < 60 else ""
    return Problem(path or "plan", f"{shown}{item['msg']}", "Give a value inside these limits.")
