"""Read and validate procedure files; errors point at file, line and field."""

import hashlib
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

import yaml
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from seamwalk.domain.checks import KINDS
from seamwalk.domain.frozen import canonical_json
from seamwalk.errors import ProcedureError
from seamwalk.texts import catalogue

_REMEDY = "Mend the file at that line."
Key = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Feature = Literal[
    "magnets",
    "springing_guards",
    "module_retaining_nut",
    "safety_cable",
    "connector_cover",
    "front_extraction_tool",
    "adapter_before_clamp",
    "module_change_live_allowed",
]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Input(_Part):
    """A reading that a step asks for."""

    name: Key
    unit: Literal["mm", "kg", "deg", "deg_c", "percent", "count"]
    min: float
    max: float


class Branch(_Part):
    """Where to go on when something is so."""

    when: Key
    goto: Key


class Step(_Part):
    """One step; its text is `<procedure>.steps.<key>`."""

    key: Key
    needs: tuple[Feature, ...] = ()
    input: Input | None = None
    photo: bool = False
    branches: tuple[Branch, ...] = ()


class Procedure(_Part):
    """One procedure; its texts stand under its key."""

    key: Key
    applies_to: Annotated[tuple[str, ...], Field(min_length=1)]
    cautions: tuple[Key, ...] = ()
    steps: Annotated[tuple[Step, ...], Field(min_length=1)]
    reasons: tuple[Key, ...] = ()


def load_procedure(path: Path) -> Procedure:
    """Read one file; raise ProcedureError naming file, line and field."""
    try:
        root = yaml.compose(path.read_text("utf-8"))
        data = yaml.safe_load(path.read_text("utf-8"))
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = mark.line + 1 if mark else 1
        raise ProcedureError(f"{path.name}:{line}: not YAML ({error})", _REMEDY) from error
    try:
        procedure = Procedure.model_validate(data)
    except ValidationError as error:
        item = error.errors()[0]
        raise _wrong(path, root, item["loc"], item["msg"]) from error
    _check_references(path, root, procedure)
    return procedure


def _check_references(path: Path, root: Any, procedure: Procedure) -> None:
    if procedure.key != path.stem:
        raise _wrong(path, root, ("key",), f"{procedure.key} is not the file's name")
    for index, kind in enumerate(procedure.applies_to):
        if kind not in KINDS or KINDS[kind][0] != procedure.key:
            raise _wrong(path, root, ("applies_to", index), f"{kind} is no check kind of this procedure")
    _check_steps(path, root, procedure)
    for loc, key in _text_keys(procedure):
        if key not in catalogue("procedures"):
            raise _wrong(path, root, loc, f"the text {key} is in no catalogue")


def _check_steps(path: Path, root: Any, procedure: Procedure) -> None:
    keys = [step.key for step in procedure.steps]
    for index, step in enumerate(procedure.steps):
        if keys.index(step.key) != index:
            raise _wrong(path, root, ("steps", index, "key"), f"{step.key} is there twice")
        if step.input is not None and step.input.min >= step.input.max:
            raise _wrong(path, root, ("steps", index, "input", "max"), "must be over min")
        for number, branch in enumerate(step.branches):
            if branch.goto not in keys:
                at = ("steps", index, "branches", number, "goto")
                raise _wrong(path, root, at, f"{branch.goto} is no step")


def _text_keys(procedure: Procedure) -> list[tuple[tuple[str | int, ...], str]]:
    own = procedure.key
    keys: list[tuple[tuple[str | int, ...], str]] = [(("key",), f"{own}.title")]
    keys += [(("cautions", i), f"cautions.{key}") for i, key in enumerate(procedure.cautions)]
    keys += [(("reasons", i), f"reasons.{key}") for i, key in enumerate(procedure.reasons)]
    for i, step in enumerate(procedure.steps):
        keys.append((("steps", i, "key"), f"{own}.steps.{step.key}"))
        if step.input is not None:
            keys.append((("steps", i, "input", "name"), f"inputs.{step.input.name}"))
        keys += [
            (("steps", i, "branches", n, "when"), f"branches.{b.when}") for n, b in enumerate(step.branches)
        ]
    return keys


def _wrong(path: Path, root: Any, loc: tuple[str | int, ...], message: str) -> ProcedureError:
    node, shown = root, ""
    for part in loc:
        shown += f"[{part}]" if isinstance(part, int) else f".{part}" if shown else str(part)
        node = _child(node, part)
    return ProcedureError(f"{path.name}:{node.start_mark.line + 1}: {shown}: {message}", _REMEDY)


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


@cache
def edition(language: str = "en") -> tuple[str, dict[str, Any]]:
    """The procedures with their texts, and the hash that names this edition."""
    content = {key: _resolve(procedure, language) for key, procedure in load_procedures().items()}
    return hashlib.sha256(canonical_json(content)).hexdigest(), content


def _resolve(procedure: Procedure, language: str) -> dict[str, Any]:
    t, own = catalogue("procedures", language), procedure.key
    return {
        "title": t[f"{own}.title"],
        "applies_to": list(procedure.applies_to),
        "cautions": [t[f"cautions.{key}"] for key in procedure.cautions],
        "reasons": {key: t[f"reasons.{key}"] for key in procedure.reasons},
        "steps": [
            {
                "key": step.key,
                "text": t[f"{own}.steps.{step.key}"],
                "needs": list(step.needs),
                "photo": step.photo,
                "input": step.input and {**step.input.model_dump(), "label": t[f"inputs.{step.input.name}"]},
                "branches": [{"when": t[f"branches.{b.when}"], "goto": b.goto} for b in step.branches],
            }
            for step in procedure.steps
        ],
    }
