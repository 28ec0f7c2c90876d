"""The office's forms. What was typed stays typed; each error stands at its field."""

import json
from datetime import timedelta
from typing import Any

from flask import session
from wtforms import (
    DecimalField,
    FileField,
    Form,
    IntegerField,
    PasswordField,
    SelectField,
    StringField,
    TextAreaField,
)
from wtforms.csrf.session import SessionCSRF
from wtforms.validators import InputRequired, Length, NumberRange, Optional, Regexp

from seamwalk.book.roles import Role
from seamwalk.domain.plan import load_plan
from seamwalk.errors import PlanError, Problem
from seamwalk.store.access import MAX_INVITE_HOURS
from seamwalk.web.services import services

PHONE_ROLES = [role.value for role in Role if role is not Role.OFFICE]


class OfficeForm(Form):  # type: ignore[misc]
    """Base of all forms: each carries a token bound to the login's session."""

    class Meta:
        csrf = True
        csrf_class = SessionCSRF
        csrf_time_limit = timedelta(hours=12)

        @property
        def csrf_secret(self) -> bytes:
            return services().settings.secret_key.encode()

        @property
        def csrf_context(self) -> Any:
            return session


def _required(text: str) -> list[Any]:
    return [InputRequired(text)]


class LoginForm(OfficeForm):
    login = StringField(validators=_required("Type your login."))
    password = PasswordField(validators=_required("Type your password."))


class ShowForm(OfficeForm):
    title = StringField(validators=[*_required("Give the show a name."), Length(max=200)])
    slug = StringField(
        validators=[
            *_required("Give a short name."),
            Regexp(r"^[a-z0-9][a-z0-9-]{0,59}$", message="Use a-z, 0-9 and -, at most 60 characters."),
        ]
    )


NEW_PERSON = ""


class InviteForm(OfficeForm):
    """`person` is filled with the show's people by the view."""

    role = SelectField(choices=PHONE_ROLES)
    person = SelectField(choices=[], default=NEW_PERSON)
    hours = IntegerField(
        default=12,
        validators=[
            *_required("Say for how many hours it is good."),
            NumberRange(1, MAX_INVITE_HOURS, message=f"Give 1 to {MAX_INVITE_HOURS} hours."),
        ],
    )


class AdmitForm(OfficeForm):
    """`person` is filled with the show's people by the view."""

    name = StringField(validators=[*_required("Say whose phone it is."), Length(max=60)])
    person = SelectField(choices=[], default=NEW_PERSON)
    role = SelectField(choices=PHONE_ROLES)


class DeviceForm(OfficeForm):
    name = StringField(validators=[*_required("Say whose phone it is."), Length(max=60)])
    role = SelectField(choices=PHONE_ROLES)


class FileForm(OfficeForm):
    upload = FileField()


class ReasonForm(OfficeForm):
    reason = StringField(validators=[*_required("Say why: it stays in the book."), Length(max=200)])


class LabelForm(OfficeForm):
    kind = SelectField(choices=["tile", "case"])
    count = IntegerField(validators=[Optional(), NumberRange(0, 240, message="Give 0 to 240 new labels.")])
    tile_type = StringField(
        validators=[Optional(), Regexp(r"^[a-z][a-z0-9_]{0,39}$", message="A key like `heron_500`.")]
    )
    codes = TextAreaField()


class PlanJsonForm(OfficeForm):
    wall = StringField(
        validators=[
            *_required("Give the wall a key."),
            Regexp(r"^[A-Z][A-Z0-9]{0,7}$", message="Use A-Z and 0-9, a letter first, at most 8 characters."),
        ]
    )
    replaces = StringField()
    text = TextAreaField(validators=_required("Paste a plan, or choose its file."))
    upload = FileField()

    def plan(self) -> dict[str, Any]:
        """The plan that was typed; raise PlanError when it is no JSON object."""
        return load_plan(self.text.data)

    def fill(self, source: dict[str, Any]) -> None:
        """Show a plan as people edit it."""
        self.text.data = json.dumps(source, indent=2, ensure_ascii=False)


_NUMBER = [Optional()]
# form field -> where it stands in the plan
PLAN_FIELDS = {
    "name": ("name",),
    "columns": ("columns",),
    "rows": ("rows",),
    "support": ("support",),
    "bends": ("bends_deg",),
    "clamp_rows": ("clamp_rows",),
    "support_columns": ("support_columns",),
    "reference": ("reference",),
    "base_bar_columns": ("hardware", "base_bar_columns"),
    "tile_key": ("tile", "key"),
    "width_mm": ("tile", "width_mm"),
    "height_mm": ("tile", "height_mm"),
    "depth_mm": ("tile", "depth_mm"),
    "px_w": ("tile", "px_w"),
    "px_h": ("tile", "px_h"),
    "mass_kg": ("tile", "mass_kg"),
    "power_max_w": ("tile", "power_max_w"),
    "power_typical_w": ("tile", "power_typical_w"),
    "locks_side": ("tile", "locks_side"),
    "locks_stack": ("tile", "locks_stack"),
    "blocks_side": ("tile", "blocks_side"),
    "guards": ("tile", "guards"),
    "tiles_per_case": ("tile", "tiles_per_case"),
    "max_bend_deg": ("tile", "max_bend_deg"),
    "tile_reference": ("tile", "reference"),
}
_LISTS = ("bends", "clamp_rows", "support_columns")


class PlanForm(OfficeForm):
    """A full grid of one tile type; openings and mixed sizes are planned as JSON."""

    wall = PlanJsonForm.wall
    replaces = StringField()
    name = StringField(validators=_required("Give the wall a name."))
    columns = IntegerField(validators=_required("Say how many columns."))
    rows = IntegerField(validators=_required("Say how many rows."))
    support = SelectField(choices=["stacked", "flown", "floor"])
    base_bar_columns = IntegerField(default=1, validators=_NUMBER)
    bends = StringField()
    clamp_rows = StringField()
    support_columns = StringField()
    reference = StringField()
    tile_key = StringField(validators=_required("Give the tile type a key."))
    width_mm = DecimalField(validators=_required("Give the width."))
    height_mm = DecimalField(validators=_required("Give the height."))
    depth_mm = DecimalField(validators=_required("Give the depth."))
    px_w = IntegerField(validators=_required("Give the pixels across."))
    px_h = IntegerField(validators=_required("Give the pixels up."))
    mass_kg = DecimalField(validators=_required("Give the mass."))
    power_max_w = DecimalField(validators=_required("Give the maximum power."))
    power_typical_w = DecimalField(validators=_required("Give the typical power."))
    locks_side = IntegerField(validators=_required("Give the locks of a side joint."))
    locks_stack = IntegerField(validators=_required("Give the locks of a stack joint."))
    blocks_side = IntegerField(default=0, validators=_NUMBER)
    guards = SelectField(choices=["edge", "corner", "none"])
    tiles_per_case = IntegerField(validators=_required("Give the tiles of a case."))
    max_bend_deg = DecimalField(validators=_NUMBER)
    tile_reference = StringField()

    def plan(self) -> dict[str, Any]:
        """The plan that was typed; raise PlanError when a list is no list of numbers."""
        plan: dict[str, Any] = {}
        for name, path in PLAN_FIELDS.items():
            value = self[name].data
            if name in _LISTS:
                value = _numbers(path[0], value or "", whole=name != "bends")
            if value is None or value == "":
                continue
            target = plan.setdefault(path[0], {}) if len(path) > 1 else plan
            target[path[-1]] = float(value) if isinstance(self[name], DecimalField) else value
        return plan

    def fill(self, source: dict[str, Any]) -> None:
        """Show what of a plan the form has fields for."""
        for field, path in PLAN_FIELDS.items():
            value: Any = source
            for part in path:
                value = value.get(part) if isinstance(value, dict) else None
            if value is not None:
                self[field].data = " ".join(map(str, value)) if isinstance(value, list) else value


def _numbers(path: str, text: str, *, whole: bool) -> list[float] | None:
    parts = text.replace(",", " ").replace(";", " ").split()
    try:
        return [int(part) if whole else float(part) for part in parts] or None
    except ValueError as error:
        problem = Problem(path, f"{text!r} is no list of numbers", "Type numbers with spaces between.")
        raise PlanError((problem,)) from error


def field_of(path: str) -> str | None:
    """The form field that a problem's path belongs to."""
    parts = tuple(part.partition("[")[0] for part in path.split("."))
    return next((name for name, own in PLAN_FIELDS.items() if own == parts or own == parts[:1]), None)
