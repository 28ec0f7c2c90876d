"""What is odd about a show's book: copies of entries, forks, gaps."""

from flask import render_template

from seamwalk.store.show.anomalies import find_anomalies
from seamwalk.web.office.blueprint import office
from seamwalk.web.office.context import area
from seamwalk.web.office.lookups import show_book
from seamwalk.web.services import services


@office.get("/shows/<name:name>/odd")
@area("shows")
def anomalies(name: str) -> str:
    """What in a show's book has no effect, and which phones' entries do not hang together."""
    with services().store.read() as session:
        book = show_book(session, name)
        return render_template(
            "office/anomalies.html", book=book, odd=find_anomalies(session, book.id), gaps=_gaps
        )


def _gaps(gaps: tuple[tuple[int, int], ...], most: int = 20) -> str:
    """Runs of numbers as people write them: `2, 5-8`."""
    runs = [str(first) if first == last else f"{first}-{last}" for first, last in gaps[:most]]
    return ", ".join(runs) + (" …" if len(gaps) > most else "")
