"""Read and validate procedure files; errors point at file, line and field."""

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from pydantic import ValidationError

from seamwalk.domain.checks.kinds import KINDS
from seamwalk.errors import ProcedureError
from seamwalk.procedures.shape import DONE, FACTS, FEATURES, Procedure
from seamwalk.procedures.yaml_text import read_yaml
from seamwalk.texts import catalogue

_REMEDY = "Correct the file at that line."
_Loc = tuple[str | int, ...]


def load_procedure(path: Path) -> Procedure:
    """Read one file; raise ProcedureError naming file, line and field."""
    return read_procedure(path.name, path.read_text("utf-8"), catalogue("procedures"))


def read_procedure(name: str, text: str, texts: Mapping[str, str]) -> Procedure:
    """Read a procedure whose file is called `name`; raise ProcedureError naming file, line and field."""
    root, data = read_yaml(name, text)
    procedure = check_procedure(name, root, (), data, texts)
    if f"{procedure.key}.yaml" != name:
        raise _wrong(name, root, ("key",), f"{procedure.key} is not the file's name")
    return procedure


def check_procedure(name: str, root: Any, at: _Loc, data: Any, texts: Mapping[str, str]) -> Procedure:
    """Check the procedure that stands at `at` of a file; raise ProcedureError naming file, line and field."""
    try:
        procedure = Procedure.model_validate(data)
    except ValidationError as error:
        item = error.errors()[0]
        raise _wrong(name, root, (*at, *item["loc"]), item["msg"]) from error
    for loc, message in _problems(procedure, texts):
        raise _wrong(name, root, (*at, *loc), message)
    return procedure


def _problems(procedure: Procedure, texts: Mapping[str, str]) -> Iterator[tuple[_Loc, str]]:
    if bool(procedure.applies_to) == (procedure.at is not None):
        yield ("key",), "it applies to check kinds or is an act at something, one of the two"
    for index, kind in enumerate(procedure.applies_to):
        if kind not in KINDS or KINDS[kind].procedure != procedure.key:
            yield ("applies_to", index), f"{kind} is not a check kind of this procedure"
    yield from _step_problems(procedure)
    for loc, key in _text_keys(procedure):
        if key not in texts:
            yield loc, f"the text {key} is in no catalogue"


def _step_problems(procedure: Procedure) -> Iterator[tuple[_Loc, str]]:
    keys = [step.key for step in procedure.steps]
    for index, step in enumerate(procedure.steps):
        at: _Loc = ("steps", index)
        if keys.index(step.key) != index or step.key == DONE:
            yield (*at, "key"), f"{step.key} is there twice"
        if step.input is not None and step.input.min >= step.input.max:
            yield (*at, "input", "max"), "must be over min"
        for name in {*step.needs, *step.unless}.difference(FEATURES, FACTS):
            yield (*at, "needs"), f"{name} is neither a feature of a tile nor a fact of a wall"
        for target in set(step.leads_to(DONE)).difference(keys, {DONE}):
            yield (*at, "choices" if step.choices else "then"), f"{target} is not a step"
        for number, choice in enumerate(step.choices):
            if choice.fault is not None and choice.fault not in procedure.reasons:
                yield (*at, "choices", number, "fault"), f"{choice.fault} is none of its reasons"
    reached = _reachable_steps(procedure, keys)
    for index, key in enumerate(keys):
        if key not in reached:
            yield ("steps", index, "key"), f"nothing leads to {key}"


def _reachable_steps(procedure: Procedure, keys: list[str]) -> set[str]:
    """The steps that some step leads to; one that is not always shown leads to the next as well."""
    reached = {keys[0]}
    for step, below in zip(procedure.steps, [*keys[1:], DONE], strict=True):
        reached.update(step.leads_to(below))
        if step.needs or step.unless:
            reached.add(below)
    return reached


def _text_keys(procedure: Procedure) -> Iterator[tuple[_Loc, str]]:
    own = procedure.key
    yield ("key",), f"{own}.title"
    for i, key in enumerate(procedure.cautions):
        yield ("cautions", i), f"cautions.{key}"
    for i, key in enumerate(procedure.reasons):
        yield ("reasons", i), f"reasons.{key}"
    for i, step in enumerate(procedure.steps):
        yield ("steps", i, "key"), f"{own}.steps.{step.key}"
        if step.input is not None:
            yield ("steps", i, "input", "name"), f"inputs.{step.input.name}"
        for n, choice in enumerate(step.choices):
            yield ("steps", i, "choices", n, "when"), f"branches.{choice.when}"


def _wrong(name: str, root: Any, loc: _Loc, message: str) -> ProcedureError:
    node, shown = root, ""
    for part in loc:
        shown += f"[{part}]" if isinstance(part, int) else f".{part}" if shown else str(part)
        node = _child(node, part)
    return ProcedureError(f"{name}:{node.start_mark.line + 1}: {shown}: {message}", _REMEDY)


def _child(node: Any, part: str | int) -> Any:
    """The node below, or the nearest one there is when a member is missing."""
    if isinstance(node, yaml.SequenceNode) and isinstance(part, int):
        return node.value[part]
    if isinstance(node, yaml.MappingNode):
        return next((value for key, value in node.value if key.value == part), node)
    return node


@cache
def load_procedures() -> dict[str, Procedure]:
    """Every procedure by key; raise ProcedureError for the first file that is wrong."""
    files = sorted(Path(__file__).parent.glob("*.yaml"))
    return {procedure.key: procedure for procedure in map(load_procedure, files)}
