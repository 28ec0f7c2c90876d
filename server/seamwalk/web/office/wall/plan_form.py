"""The forms in which a wall is planned: one field for each figure of a plan, or the plan as JSON."""

import json
from copy import deepcopy
from typing import Any

from wtforms import BooleanField, FileField, SelectField, StringField, TextAreaField
from wtforms.validators import Regexp

from seamwalk.book.json_text import read_json
from seamwalk.errors import BookError, PlanError, Problem
from seamwalk.web.office.forms import NumberField, OfficeForm, required
from seamwalk.web.office.wall.plan_fields import ENTRIES, LEARNED, NEEDED, SECTIONS, Entry

MAX_DEPTH = 10


class PlanJsonForm(OfficeForm):
    wall = StringField(
        validators=[
            *required("Give the wall a key."),
            Regexp(r"^[A-Z][A-Z0-9]{0,7}$", message="Use A-Z and 0-9, a letter first, at most 8 characters."),
        ]
    )
    replaces = StringField()
    text = TextAreaField(validators=required("Paste a plan, or choose its file."))
    upload = FileField()

    def plan(self, _base: dict[str, Any]) -> dict[str, Any]:
        """The plan that was typed; raise PlanError when it is not a JSON object."""
        try:
            plan = read_json(self.text.data.encode("utf-8", "replace"), MAX_DEPTH)
        except BookError as error:
            raise PlanError((Problem("plan", error.message, "Correct the JSON text."),)) from error
        if not isinstance(plan, dict):
            raise PlanError(
                (Problem("plan", "is not a JSON object", "Write it as { ... }, one field each."),)
            )
        return plan

    def fill(self, source: dict[str, Any]) -> None:
        """Show a plan as people edit it."""
        self.text.data = json.dumps(source, indent=2, ensure_ascii=False)


# what has a value though nobody typed one: alone it does not make a section
_CHOSEN = (SelectField, BooleanField)


class PlanForm(OfficeForm):
    """Every figure of a plan but its placements; what it has no field for stays as it was."""

    wall = PlanJsonForm.wall
    replaces = StringField()

    def plan(self, base: dict[str, Any]) -> dict[str, Any]:
        """The plan that was typed over `base`; raise PlanError when a list cannot be read."""
        plan = deepcopy(base)
        for section, entries in SECTIONS.items():
            typed = {name: self._value(name, entry) for name, entry in entries.items()}
            chosen = {name for name in entries if isinstance(self[name], _CHOSEN) or name in LEARNED}
            empty = section not in NEEDED and not any(
                value is not None for name, value in typed.items() if name not in chosen
            )
            for name, entry in entries.items():
                _put(plan, entry.path, None if empty else typed[name])
        return _without_empty(plan)

    def fill(self, source: dict[str, Any]) -> None:
        """Show a plan."""
        for name, entry in ENTRIES.items():
            value: Any = source
            for part in entry.path:
                value = value.get(part) if isinstance(value, dict) else None
            if value is not None:
                self[name].data = entry.write(value) if entry.write else value

    def opened(self, section: str) -> bool:
        """Whether a section has anything to show: something typed, or something wrong."""
        return section in NEEDED or any(
            self[name].errors or self[name].data not in (None, "", False, self[name].default)
            for name in SECTIONS[section]
            if not isinstance(self[name], SelectField)
        )

    def _value(self, name: str, entry: Entry) -> Any:
        value = self[name].data
        if isinstance(value, str) and not value.strip():
            return None
        if entry.read is not None and value is not None:
            return entry.read(".".join(entry.path), value) or None
        return float(value) if isinstance(self[name], NumberField) and value is not None else value


for _name, _entry in ENTRIES.items():
    setattr(PlanForm, _name, _entry.field)


def field_of(path: str) -> str | None:
    """The form field that a problem's path belongs to."""
    parts = tuple(part.partition("[")[0] for part in path.split("."))
    own = [name for name, entry in ENTRIES.items() if entry.path[: len(parts)] == parts]
    within = [name for name, entry in ENTRIES.items() if parts[: len(entry.path)] == entry.path]
    return next(iter([*within, *own]), None)


def _put(plan: dict[str, Any], path: tuple[str, ...], value: Any) -> None:
    *way, last = path
    target = plan
    for part in way:
        if value is None and not isinstance(target.get(part), dict):
            return
        target = target.setdefault(part, {})
    if value is None:
        target.pop(last, None)
    else:
        target[last] = value


def _without_empty(plan: dict[str, Any]) -> dict[str, Any]:
    """Take out what is empty once its fields are."""
    inner = {key: _without_empty(value) if isinstance(value, dict) else value for key, value in plan.items()}
    return {key: value for key, value in inner.items() if value != {}}
