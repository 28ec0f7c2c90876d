"""Label grids as their maker prints them on the packet, in mm, and where each label lies on its page."""

from collections.abc import Iterator
from dataclasses import dataclass

from seamwalk.errors import LabelError

PAGES_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
_LARGEST_MM = 1000.0
_MAX = 50


@dataclass(frozen=True)
class LabelGrid:
    """A page of labels; a label printer's page is one label without margins.

    `start` is the place of the first label on the first page, counted from 1 along the rows, for sheets that
    have been begun.
    """

    page_width_mm: float
    page_height_mm: float
    columns: int = 1
    rows: int = 1
    margin_x_mm: float = 0.0
    margin_y_mm: float = 0.0
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0
    start: int = 1

    def __post_init__(self) -> None:
        for name in ("page_width_mm", "page_height_mm"):
            if not 0 < getattr(self, name) <= _LARGEST_MM:
                raise LabelError(
                    f"{name}: {getattr(self, name):g} is not a page size", f"Give up to {_LARGEST_MM:g} mm."
                )
        for name in ("columns", "rows"):
            if not 1 <= getattr(self, name) <= _MAX:
                raise LabelError(f"{name}: {getattr(self, name)} labels do not fit", f"Give 1 to {_MAX}.")
        for name in ("margin_x_mm", "margin_y_mm", "gap_x_mm", "gap_y_mm"):
            if not 0 <= getattr(self, name) <= _LARGEST_MM:
                raise LabelError(f"{name}: {getattr(self, name):g} is not a distance", "Give 0 mm or more.")
        if not 1 <= self.start <= self.per_page:
            message = f"start: place {self.start} is not on a page of {self.per_page}"
            raise LabelError(message, f"Give 1 to {self.per_page}.")
        if self.label_width_mm <= 0 or self.label_height_mm <= 0:
            raise LabelError("margins and gaps leave no room for labels", "Measure the sheet again.")

    @property
    def per_page(self) -> int:
        """Labels on a page."""
        return self.columns * self.rows

    @property
    def label_width_mm(self) -> float:
        """What margins and gaps leave for one label."""
        return (self.page_width_mm - 2 * self.margin_x_mm - (self.columns - 1) * self.gap_x_mm) / self.columns

    @property
    def label_height_mm(self) -> float:
        """What margins and gaps leave for one label."""
        return (self.page_height_mm - 2 * self.margin_y_mm - (self.rows - 1) * self.gap_y_mm) / self.rows

    def pages(self, labels: int) -> int:
        """How many pages so many labels take."""
        return -(-(labels + self.start - 1) // self.per_page)

    def places(self) -> Iterator[tuple[int, float, float]]:
        """Page from 0, left and lower edge of each label in turn, without end."""
        place = self.start - 1
        while True:
            page, on_page = divmod(place, self.per_page)
            row, column = divmod(on_page, self.columns)
            x = self.margin_x_mm + column * (self.label_width_mm + self.gap_x_mm)
            from_top = self.margin_y_mm + row * (self.label_height_mm + self.gap_y_mm)
            yield page, x, self.page_height_mm - from_top - self.label_height_mm
            place += 1
