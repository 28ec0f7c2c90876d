"""What the office types to print labels: which ones, and the paper that they go on."""

from dataclasses import asdict
from typing import Annotated, Any

from pydantic import Field
from wtforms import SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, NumberRange, Optional, Regexp

from seamwalk.domain.stock.codes import KIND_OF_LETTER
from seamwalk.printing.label_grid import PAGES_MM, LabelGrid
from seamwalk.web.inputs import QueryParams
from seamwalk.web.office.forms import NumberField, OfficeForm, WholeField

MAX_LABELS = 5000
OWN_PAGE = "own"
GRID = ("columns", "rows", "margin_x_mm", "margin_y_mm", "gap_x_mm", "gap_y_mm", "start")


def _mm(default: float | None = None) -> Any:
    return NumberField(default=default, validators=[Optional()])


def _count(default: int) -> Any:
    return WholeField(default=default, validators=[InputRequired("Give a number.")])


Mm = Annotated[float, Field(allow_inf_nan=False)]
Whole = Annotated[int, Field(ge=0, le=10_000)]


class GridParams(QueryParams):
    """Labels and their paper, as an address carries them: codes, and ranges as `first..last`."""

    codes: str = ""
    page_width_mm: Mm
    page_height_mm: Mm
    columns: Whole = 1
    rows: Whole = 1
    margin_x_mm: Mm = 0
    margin_y_mm: Mm = 0
    gap_x_mm: Mm = 0
    gap_y_mm: Mm = 0
    start: Whole = 1


class RevokeForm(OfficeForm):
    """Labels that must not be used any more, and why."""

    revoked = TextAreaField(validators=[InputRequired("Type the codes, one in each line.")])
    reason = StringField(validators=[InputRequired("Say why: it stays in the book."), Length(max=200)])


class LabelForm(OfficeForm):
    kind = SelectField(choices=list(KIND_OF_LETTER.values()), default="tile")
    count = WholeField(
        validators=[Optional(), NumberRange(0, MAX_LABELS, message=f"Give 0 to {MAX_LABELS} new labels.")]
    )
    tile_type = StringField(
        validators=[Optional(), Regexp(r"^[a-z][a-z0-9_]{0,39}$", message="A key like `heron_500`.")]
    )
    codes = TextAreaField()
    damaged = TextAreaField()
    page = SelectField(choices=[*PAGES_MM, OWN_PAGE], default="A4")
    page_width_mm = _mm()
    page_height_mm = _mm()
    columns = _count(3)
    rows = _count(8)
    margin_x_mm = _mm(7)
    margin_y_mm = _mm(8)
    gap_x_mm = _mm(0)
    gap_y_mm = _mm(0)
    start = _count(1)

    def grid(self) -> LabelGrid:
        """The paper as typed; raise LabelError when no label fits on it."""
        own = (float(self.page_width_mm.data or 0), float(self.page_height_mm.data or 0))
        width, height = PAGES_MM.get(self.page.data, own)
        return LabelGrid(width, height, **{name: self._of(name) for name in GRID})

    def remember(self, grid: dict[str, Any]) -> None:
        """Fill in the paper that was used last."""
        page = (grid["page_width_mm"], grid["page_height_mm"])
        self.page.data = next((name for name, size in PAGES_MM.items() if size == page), OWN_PAGE)
        for name in (*GRID, *(("page_width_mm", "page_height_mm") if self.page.data == OWN_PAGE else ())):
            if name != "start":
                self[name].data = grid[name]

    def _of(self, name: str) -> Any:
        value = self[name].data
        return value if isinstance(self[name], WholeField) else float(value or 0)


def as_query(grid: LabelGrid) -> dict[str, str]:
    """A grid as an address carries it."""
    return {name: f"{value:g}" for name, value in asdict(grid).items()}


def from_query(query: GridParams) -> LabelGrid:
    """A grid from an address; raise LabelError when no label fits on it."""
    return LabelGrid(**query.model_dump(include={"page_width_mm", "page_height_mm", *GRID}))
