"""A thousand tile labels as PDF, against the bare matrices of the same symbols by a fast library (segno)."""

from statistics import median

import segno

from bench.bench_book import seconds
from seamwalk.domain.stock.codes import Code
from seamwalk.printing.label_grid import LabelGrid
from seamwalk.printing.labels import Label, label_address, label_wording, stream_labels

COUNTS = (100, 1000, 5000)
ROUNDS = 3
TINY = (10,), 1
URL = "https://walls.example.test"


def matrices(codes: list[Code]) -> None:
    for code in codes:
        segno.make(label_address(code, URL), error="Q", boost_error=False, micro=False)


def pdf(codes: list[Code]) -> int:
    labels = [Label(code, "plover_500") for code in codes]
    grid = LabelGrid(210, 297, 3, 8, 7, 8)
    return sum(len(chunk) for chunk in stream_labels(labels, grid, label_wording("Company"), URL))


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    counts, rounds = TINY if tiny else (COUNTS, ROUNDS)
    for count in counts:
        codes = [Code("HQ", "T", serial) for serial in range(1, count + 1)]
        own = median(seconds(lambda: pdf(codes)) for _ in range(rounds))  # noqa: B023
        bare = median(seconds(lambda: matrices(codes)) for _ in range(rounds))  # noqa: B023
        size = pdf(codes) / count
        print(f"{count:5} labels: {own:.2f} s, x {own / bare:.2f} of bare matrices, {size:.0f} bytes a label")
