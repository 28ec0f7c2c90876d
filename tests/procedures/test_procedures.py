"""Procedures are valid, complete, and a wrong file is named by line and field."""

from pathlib import Path

import pytest

from seamwalk.domain.checks import KINDS
from seamwalk.domain.plan_model import Features
from seamwalk.errors import ProcedureError
from seamwalk.procedures import edition, load_procedure, load_procedures
from seamwalk.procedures.load import Feature
from seamwalk.texts import catalogue

GOOD = """\
key: guard
applies_to: [guard]
cautions: [fingers]
steps:
  - key: look
    branches: [{when: stands_out, goto: push}]
  - key: push
    input: {name: dead_pixels, unit: mm, min: 0, max: 5}
reasons: [guard_out]
"""


def test_every_check_kind_has_its_procedure() -> None:
    applied = {kind: key for key, p in load_procedures().items() for kind in p.applies_to}
    assert applied == {kind: procedure for kind, (procedure, _) in KINDS.items()}


def test_features_are_those_of_a_tile() -> None:
    assert set(Feature.__args__) == set(Features.model_fields)


def test_every_text_is_used_and_comes_resolved() -> None:
    name, content = edition()
    assert len(name) == 64
    resolved = str(content)
    for key, text in catalogue("procedures").items():
        if key != "reasons.cannot_reach":
            assert text.replace("'", "\\'") in resolved or text in resolved, key
    assert all("⟦" in step["text"] for p in edition("pseudo")[1].values() for step in p["steps"])


def test_no_text_promises_safety() -> None:
    for face in ("office", "procedures"):
        assert not [text for text in catalogue(face).values() if "safe" in text.lower().split()]


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("key: guard", "key: guards", "guard.yaml:1: key: guards is not the file's name"),
        ("[guard]", "[lock]", "guard.yaml:2: applies_to[0]: lock is no check kind of this procedure"),
        ("[fingers]", "[toes]", "guard.yaml:3: cautions[0]: the text cautions.toes is in no catalogue"),
        ("goto: push", "goto: pull", "guard.yaml:6: steps[0].branches[0].goto: pull is no step"),
        ("unit: mm", "unit: inch", "guard.yaml:8: steps[1].input.unit: Input should be"),
        ("max: 5", "max: 0", "guard.yaml:8: steps[1].input.max: must be over min"),
        ("reasons:", "reason:", "guard.yaml:9: reason: Extra inputs are not permitted"),
        ("steps:", "steps: [", "guard.yaml:5: not YAML"),
    ],
)
def test_a_wrong_file_is_named_by_line_and_field(tmp_path: Path, old: str, new: str, message: str) -> None:
    path = tmp_path / "guard.yaml"
    path.write_text(GOOD)
    assert load_procedure(path).key == "guard"
    path.write_text(GOOD.replace(old, new, 1))
    with pytest.raises(ProcedureError) as caught:
        load_procedure(path)
    assert caught.value.message.startswith(message)
