"""Procedures are valid, complete, and a wrong file is named by line and field."""

import json
from pathlib import Path

import make_procedures
import pytest

from helpers import PLAN
from seamwalk.domain.checks.kinds import KINDS
from seamwalk.domain.frozen import checks_file
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.errors import ProcedureError
from seamwalk.procedures import built_in, company_edition, edition_hash, load_procedure, load_procedures
from seamwalk.texts import catalogue

GOOD = """\
key: guard
applies_to: [guard]
cautions: [fingers]
steps:
  - key: look
    choices: [{when: stands_out, goto: push}, {when: as_drawn, goto: ok}]
  - key: push
    input: {name: dead_pixels, unit: mm, min: 0, max: 5}
reasons: [guard_out]
"""


def test_every_check_kind_has_its_procedure() -> None:
    applied = {kind: key for key, p in load_procedures().items() for kind in p.applies_to}
    assert applied == {kind: known.procedure for kind, known in KINDS.items()}


def test_the_phone_s_tests_walk_these_very_procedures() -> None:
    """`python tests/vectors/make_procedures.py` writes them anew."""
    assert make_procedures.FILE.read_text() == make_procedures.written()


def test_every_text_is_used() -> None:
    """A text that nothing uses was forgotten when a step went."""
    used = {"reasons.cannot_reach"}
    for key, procedure in load_procedures().items():
        used |= {f"{key}.title", *(f"{key}.steps.{step.key}" for step in procedure.steps)}
        used |= {f"cautions.{name}" for name in procedure.cautions}
        used |= {f"reasons.{name}" for name in procedure.reasons}
        used |= {f"inputs.{step.input.name}" for step in procedure.steps if step.input}
        used |= {f"branches.{choice.when}" for step in procedure.steps for choice in step.choices}
    assert used == set(catalogue("procedures"))


def test_no_text_promises_safety() -> None:
    for face in ("office", "procedures"):
        assert not [text for text in catalogue(face).values() if "safe" in text.lower().split()]
    assert not [text for text in catalogue("procedures", "de").values() if "sicher." in text.lower()]


def test_whatever_can_hurt_says_so() -> None:
    """Mains, height, suspended loads, lifting: each procedure that touches them carries the caution."""
    cautions = {key: set(procedure.cautions) for key, procedure in load_procedures().items()}
    for key in (
        "supply",
        "power_up",
        "unit_swap",
        "module_swap",
        "tile_swap",
        "power_down",
        "unplug",
        "drying",
    ):
        assert "mains" in cautions[key]
    for key in ("lift", "lower", "hanging_bar"):
        assert {"suspension", "structure"} <= cautions[key]
    for key in ("clamp", "support", "second_look", "unit_swap", "tile_swap", "take_down_rear"):
        assert "height" in cautions[key]
    for key in ("lift", "lower", "clamp", "support", "module_swap", "unit_swap", "tile_swap", "take_down"):
        assert "below" in cautions[key]
    for key in ("lock", "tile_in", "case_in", "take_down", "tile_swap", "ballast"):
        assert "lifting" in cautions[key]
    for key in ("power_up", "signal", "backup", "picture", "processor", "burn_in", "failover"):
        assert "flashing" in cautions[key]


def test_a_step_that_says_call_has_the_contacts_beside_it() -> None:
    """Whom to call stands at the step that says so, and nowhere else."""
    texts = catalogue("procedures")
    for key, procedure in load_procedures().items():
        for step in procedure.steps:
            says = texts[f"{key}.steps.{step.key}"]
            called = "Call " in says or step.key in ("on_call", "away")
            assert step.call == called, f"{key}.{step.key}"


def test_every_reading_that_a_company_limits_has_its_limit_from_the_plan() -> None:
    """No limit is ours: each is a field of the plan or of its tile types."""
    limited = {
        f"{step.input.limit}_1" if step.input.each else step.input.limit
        for procedure in load_procedures().values()
        for step in procedure.steps
        if step.input is not None and step.input.limit is not None
    }
    plan = PLAN | {"support": "flown", "hang": {"points_mm": [0, 500], "reference": "invented"}}
    file = json.loads(checks_file("A", parse_plan(plan)))
    named = {*file["limits"], *(name for tile in file["types"].values() for name in tile["limits"])}
    assert limited <= named
    assert {*file["limits"].values()} == {None}


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        (
            "key: guard",
            "key: guards",
            "guard.yaml:2: applies_to[0]: guard is not a check kind of this procedure",
        ),
        ("[guard]", "[lock]", "guard.yaml:2: applies_to[0]: lock is not a check kind of this procedure"),
        ("applies_to: [guard]", "reasons: []", "guard.yaml:1: key: it applies to check kinds or is"),
        ("[fingers]", "[toes]", "guard.yaml:3: cautions[0]: the text cautions.toes is in no catalogue"),
        ("goto: push", "goto: pull", "guard.yaml:6: steps[0].choices: pull is not a step"),
        ("goto: push}", "goto: ok}", "guard.yaml:7: steps[1].key: nothing leads to push"),
        ("goto: push", "fault: gap", "guard.yaml:6: steps[0].choices[0].fault: gap is none of its reasons"),
        ("goto: push", "both: true", "guard.yaml:6: steps[0].choices[0]: Value error, goto or fault"),
        ("unit: mm", "unit: inch", "guard.yaml:8: steps[1].input.unit: Input should be"),
        ("max: 5", "max: 5, over: guard_out", "guard.yaml:8: steps[1].input: Value error, limit: is needed"),
        ("max: 5", "max: 5, limit: x, over_to: pull", "guard.yaml:7: steps[1].then: pull is not a step"),
        ("max: 5", "max: 5, each: corner", "guard.yaml:8: steps[1].input.each: Input should be"),
        (
            "goto: ok}",
            "goto: ok, unread: true}",
            "guard.yaml:5: steps[0]: Value error, unread: there is noth",
        ),
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


COMPANY = """\
texts:
  en:
    guard:
      steps: {look: Our own words.}
procedures:
  guard:
    key: guard
    applies_to: [guard]
    steps:
      - {key: look}
"""


def test_a_company_edition_is_the_built_in_one_with_its_own_over_it() -> None:
    own, base = json.loads(company_edition("ours.yaml", COMPANY)), json.loads(built_in())
    assert own["texts"]["en"]["guard.steps.look"] == "Our own words."
    assert [step["key"] for step in own["procedures"]["guard"]["steps"]] == ["look"]
    assert own["procedures"]["lock"] == base["procedures"]["lock"]
    assert edition_hash(company_edition("ours.yaml", COMPANY)) != edition_hash(built_in())
    assert company_edition("ours.yaml", "texts: {}") == built_in()


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("- {key: look}", "- {key: hook}", "ours.yaml:10: procedures.guard.steps[0].key: the text"),
        ("applies_to: [guard]", "applies_to: [lock]", "ours.yaml:8: procedures.guard.applies_to[0]: lock"),
        ("  en:", "  xx:", "ours.yaml: texts.xx: one of en, de"),
        ("texts:", "words:", "ours.yaml:1: only procedures and texts"),
        ("texts:", "texts: [", "ours.yaml:3: not YAML"),
    ],
)
def test_a_wrong_company_edition_is_named_by_line_and_field(old: str, new: str, message: str) -> None:
    with pytest.raises(ProcedureError) as caught:
        company_edition("ours.yaml", COMPANY.replace(old, new, 1))
    assert caught.value.message.startswith(message)
