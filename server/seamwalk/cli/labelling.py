"""Commands that give labels out and print them."""

import argparse
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from seamwalk.cli.store_access import settings_of, store_of
from seamwalk.domain.stock.codes import LETTER_OF_KIND, MAX_SERIAL, Code, parse_code
from seamwalk.errors import LabelError
from seamwalk.printing.label_grid import PAGES_MM, LabelGrid
from seamwalk.printing.labels import Label, check_grid, label_wording, stream_labels
from seamwalk.store.stock.labels import company_book, register_items


def labels(args: argparse.Namespace) -> None:
    """Register new codes, or take given ones, and write their labels as PDF; progress goes to stderr."""
    settings = settings_of(args)
    grid, wording = _grid(args), label_wording(settings.company)
    if not 1 <= args.count <= MAX_SERIAL:
        raise LabelError(f"count: {args.count} labels cannot be made", f"Give 1 to {MAX_SERIAL}.")
    again = [parse_code(text) for text in args.again]
    first = again[0] if again else Code(settings.label_prefix, LETTER_OF_KIND[args.kind], 1)
    check_grid(grid, first, wording, settings.public_url)
    codes = again or _register(args)
    with Path(args.o).open("wb") as file:
        for chunk in stream_labels(_counted(codes, args), grid, wording, settings.public_url):
            file.write(chunk)
    print(f"{len(codes)} labels, {codes[0].grouped} to {codes[-1].grouped}: {args.o}")


def _register(args: argparse.Namespace) -> list[Code]:
    settings, now = settings_of(args), datetime.now(UTC)
    with store_of(args).write() as session:
        book = company_book(session, settings.company or "Company", now)
        return register_items(
            session,
            book,
            prefix=settings.label_prefix,
            kind=args.kind,
            count=args.count,
            tile_type=args.tile_type,
            now=now,
        )


def _counted(codes: list[Code], args: argparse.Namespace) -> Iterator[Label]:
    shows = sys.stderr.isatty()
    for number, code in enumerate(codes, start=1):
        if shows and (number % 50 == 0 or number == len(codes)):
            end = "\n" if number == len(codes) else "\r"
            print(f"{number} of {len(codes)}", end=end, file=sys.stderr, flush=True)
        yield Label(code, args.tile_type or "")


def _grid(args: argparse.Namespace) -> LabelGrid:
    width, height = _page(args.page)
    columns, rows = args.grid
    margin_x, margin_y = args.margins
    gap_x, gap_y = args.gaps
    return LabelGrid(width, height, columns, rows, margin_x, margin_y, gap_x, gap_y, args.start)


def _page(text: str) -> tuple[float, float]:
    if text in PAGES_MM:
        return PAGES_MM[text]
    try:
        width, height = (float(part) for part in text.split("x"))
    except ValueError as error:
        remedy = f"Give {', '.join(PAGES_MM)} or a size in mm, as in 62x29."
        raise LabelError(f"page: {text!r} is not a page size", remedy) from error
    return width, height
