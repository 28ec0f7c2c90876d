"""A show's log: incidents, procedures walked, parts changed, what was read off; and photos."""

from flask import Response, abort, render_template

from seamwalk.procedures import load_procedures
from seamwalk.store.blobs import read_blob
from seamwalk.store.photos import is_photo
from seamwalk.store.told import count_told, quarantine, show_log
from seamwalk.texts import translator
from seamwalk.web.office import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.shows import show_book
from seamwalk.web.services import services

_MOST_LINES = 500


@office.get("/shows/<name>/log")
@area("shows")
def log(name: str) -> str:
    """What was told at a show beside the checks, newest first."""
    with services().store.read() as session:
        book = show_book(session, name)
        lines = show_log(session, book.id, most=_MOST_LINES)
        texts = translator("procedures", language())
        titles = {key: texts(f"{key}.title") for key in load_procedures()}
        return render_template(
            "office/log.html",
            book=book,
            lines=lines,
            older=count_told(session, book.id) - len(lines),
            parts=quarantine(session, book.id),
            titles=titles,
        )


@office.get("/shows/<name>/photos/<sha256>")
@area("shows")
def show_photo(name: str, sha256: str) -> Response:
    """A photo that an entry of the show names."""
    with services().store.read() as session:
        data = read_blob(session, show_book(session, name).id, sha256)
    if data is None or not is_photo(data):
        abort(404)
    return Response(data, mimetype="image/jpeg", headers={"Cache-Control": "private, max-age=86400"})
