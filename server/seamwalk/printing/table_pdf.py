"""A table as PDF: A4 across, header on every page, columns as wide as what stands in them."""

from collections.abc import Iterator, Sequence

from seamwalk.printing.pdf import Page, stream_pdf, widest_mm

_WIDTH_MM, _HEIGHT_MM, _MARGIN_MM = 297.0, 210.0, 12.0
_SIZE_MM, _LINE_MM, _TITLE_MM, _GAP_MM = 3.2, 5.0, 5.0, 2.5
_LEAST_MM = 14.0
_MORE = "..."
Table = Sequence[Sequence[str]]


def stream_table(rows: Table, title: str) -> Iterator[bytes]:
    """Write a table, its header first, a chunk a page; raise LabelError for letters no printer's font has."""
    return stream_pdf(_pages(rows, title), _WIDTH_MM, _HEIGHT_MM)


def column_widths_mm(rows: Table) -> list[float]:
    """As wide as the widest cell of each column, all made narrower alike where they do not fit.

    The header takes what it needs where there is room, and is cut before any cell is.
    """
    header, *rest = rows
    cells = [max((_wide(row[at]) for row in rest), default=_LEAST_MM) for at in range(len(header))]
    titles = [max(cell, _wide(name)) for cell, name in zip(cells, header, strict=True)]
    room = _WIDTH_MM - 2 * _MARGIN_MM
    wanted = titles if sum(titles) <= room else cells
    scale = min(1.0, room / sum(wanted))
    return [width * scale for width in wanted]


def _wide(text: str) -> float:
    return max(_LEAST_MM, widest_mm(text, _SIZE_MM, "bold") + _GAP_MM)


def _pages(rows: Table, title: str) -> Iterator[Page]:
    header, *rest = rows
    widths = column_widths_mm(rows)
    per_page = int((_HEIGHT_MM - 2 * _MARGIN_MM - 3 * _LINE_MM) / _LINE_MM)
    chunks = [rest[start : start + per_page] for start in range(0, len(rest), per_page)] or [[]]
    for number, chunk in enumerate(chunks, start=1):
        page = Page()
        top = _HEIGHT_MM - _MARGIN_MM - _TITLE_MM
        page.text(f"{title} ({number}/{len(chunks)})", _MARGIN_MM, top, _TITLE_MM, "bold")
        _line(page, header, widths, top - 1.8 * _LINE_MM, "bold")
        for place, row in enumerate(chunk):
            _line(page, row, widths, top - (2.9 + place) * _LINE_MM, "plain")
        yield page


def _line(page: Page, row: Sequence[str], widths: Sequence[float], y_mm: float, font: str) -> None:
    x_mm = _MARGIN_MM
    for cell, width in zip(row, widths, strict=True):
        page.text(_cut(cell, width - _GAP_MM, font), x_mm, y_mm, _SIZE_MM, font)
        x_mm += width


def _cut(text: str, width_mm: float, font: str) -> str:
    """As much of a text as fits; what is cut ends in dots."""
    if widest_mm(text, _SIZE_MM, font) <= width_mm:
        return text
    kept = text
    while kept and widest_mm(kept + _MORE, _SIZE_MM, font) > width_mm:
        kept = kept[:-1]
    return kept + _MORE
