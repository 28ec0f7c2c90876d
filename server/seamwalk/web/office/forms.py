"""The office's forms. What was typed stays typed; each error stands at its field."""

from datetime import timedelta
from decimal import Decimal
from math import isfinite
from typing import Any

from flask import request, session
from wtforms import DecimalField, FileField, Form, IntegerField, PasswordField, SelectField, StringField
from wtforms.csrf.session import SessionCSRF
from wtforms.validators import InputRequired, Length, NumberRange, Regexp

from seamwalk.book.json_text import MAX_INTEGER
from seamwalk.book.roles import Role
from seamwalk.errors import Forbidden
from seamwalk.store.access.phones import MAX_INVITE_HOURS
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


class NumberField(DecimalField):  # type: ignore[misc]
    """A number that a double holds: no NaN, nothing infinite."""

    data: Any

    def __init__(self, **options: Any) -> None:
        super().__init__(places=None, **options)

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read what was typed; raise ValueError for what is not a number."""
        super().process_formdata(valuelist)
        typed = self.data
        if isinstance(typed, Decimal) and not (typed.is_finite() and isfinite(float(typed))):
            self.data = None
            raise ValueError("Not a number that can be worked with.")


class WholeField(IntegerField):  # type: ignore[misc]
    """A whole number within what a double holds exactly."""

    data: Any

    def process_formdata(self, valuelist: list[str]) -> None:
        """Read what was typed; raise ValueError for what is no whole number, or too large a one."""
        super().process_formdata(valuelist)
        if self.data is not None and abs(self.data) > MAX_INTEGER:
            self.data = None
            raise ValueError("Not a number that can be worked with.")


def require_token() -> None:
    """Refuse a sent form whose token is not of this login's session; raise Forbidden."""
    if not OfficeForm(request.form).validate():
        raise Forbidden("token: this page was open too long or the login changed", "Send it again.")


def required(text: str) -> list[Any]:
    return [InputRequired(text)]


def _password(complete: str = "current-password") -> PasswordField:
    checks = [*required("Type your password."), Length(max=1000)]
    return PasswordField(validators=checks, render_kw={"autocomplete": complete})


def _code(mode: str = "numeric") -> StringField:
    hints = {"autocomplete": "one-time-code", "inputmode": mode}
    return StringField(validators=[*required("Type the code."), Length(max=60)], render_kw=hints)


class LoginForm(OfficeForm):
    login = StringField(
        validators=[*required("Type your login."), Length(max=60)], render_kw={"autocomplete": "username"}
    )
    password = _password()


class CodeForm(OfficeForm):
    code = _code("text")


class NewPasswordForm(OfficeForm):
    password = _password()
    new_password = _password("new-password")


class CodesOnForm(OfficeForm):
    code = _code()
    password = _password()


class CodesOffForm(OfficeForm):
    password = _password()


class ShowForm(OfficeForm):
    title = StringField(validators=[*required("Give the show a name."), Length(max=200)])
    slug = StringField(
        validators=[
            *required("Give a short name."),
            Regexp(r"^[a-z0-9][a-z0-9-]{0,59}$", message="Use a-z, 0-9 and -, at most 60 characters."),
        ]
    )


NEW_PERSON = ""


class InviteForm(OfficeForm):
    """`person` is filled with the show's people by the view."""

    role = SelectField(choices=PHONE_ROLES)
    person = SelectField(choices=[], default=NEW_PERSON)
    hours = WholeField(
        default=12,
        validators=[
            *required("Say for how many hours it is good."),
            NumberRange(1, MAX_INVITE_HOURS, message=f"Give 1 to {MAX_INVITE_HOURS} hours."),
        ],
    )


class AdmitForm(OfficeForm):
    """`person` is filled with the show's people by the view."""

    name = StringField(validators=[*required("Say whose phone it is."), Length(max=60)])
    person = SelectField(choices=[], default=NEW_PERSON)
    role = SelectField(choices=PHONE_ROLES)


class DeviceForm(OfficeForm):
    name = StringField(validators=[*required("Say whose phone it is."), Length(max=60)])
    role = SelectField(choices=PHONE_ROLES)


class FileForm(OfficeForm):
    upload = FileField()


class ReasonForm(OfficeForm):
    reason = StringField(validators=[*required("Say why: it stays in the book."), Length(max=200)])
