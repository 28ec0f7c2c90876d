"""What the office types about things: a search, an edit of many, a claim, what things of a type are."""

from wtforms import DateField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange, Optional, Regexp

from seamwalk.domain.stock.codes import KIND_OF_LETTER
from seamwalk.store.stock.search import EDITABLE
from seamwalk.web.office.forms import NumberField, OfficeForm

STATUSES = ("in_stock", "quarantined", "in_repair", "awaits_look", "at_maker", "scrapped")


class EditForm(OfficeForm):
    """A field of many things, and its new value; empty takes the value away."""

    field = SelectField(choices=list(EDITABLE))
    value = StringField(validators=[Length(max=60)])


class ListForm(OfficeForm):
    """The name of a search that is kept."""

    name = StringField(validators=[InputRequired("Give the list a name."), Length(max=60)])


class ClaimForm(OfficeForm):
    """Against whom damage is claimed, under which reference, and until when."""

    against = StringField(validators=[InputRequired("Say against whom."), Length(max=200)])
    reference = StringField(validators=[Length(max=200)])
    deadline = DateField(validators=[Optional()])
    part = StringField(validators=[InputRequired()])
    seen = StringField(validators=[InputRequired()])


def _size() -> NumberField:
    message = "Give a number above 0."
    return NumberField(validators=[Optional(), NumberRange(0.001, 100_000, message=message)])


class TypeForm(OfficeForm):
    """What things of a kind and type weigh, measure and cost; a case without its contents."""

    kind = SelectField(choices=list(KIND_OF_LETTER.values()), default="case")
    type = StringField(
        validators=[Regexp(r"^([a-z][a-z0-9_]{0,39})?$", message="A key like `heron_500`, or empty.")]
    )
    mass_kg = _size()
    length_mm = _size()
    width_mm = _size()
    height_mm = _size()
    price = NumberField(validators=[Optional(), NumberRange(0, 1e9)])
    currency = StringField(
        validators=[Optional(), Regexp(r"^[A-Z]{3}$", message="Three letters (ISO 4217), as in EUR.")]
    )
