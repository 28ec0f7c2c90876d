"""What a page is about, found by the names in its address."""

from sqlalchemy.orm import Session

from seamwalk.errors import NotFound
from seamwalk.store.ledger.books import current_plan, find_book
from seamwalk.store.tables import Book, WallPlan


def show_book(session: Session, name: str) -> Book:
    """A show's book; raise NotFound for anything else."""
    book = find_book(session, name)
    if book.kind != "show":
        raise NotFound(f"{name} is not a show", "Choose one from the list of shows.")
    return book


def plan_of(session: Session, book: Book, wall: str) -> WallPlan:
    """A wall's plan that stands; raise NotFound."""
    plan = current_plan(session, book.id, wall)
    if plan is None:
        raise NotFound(f"wall {wall} has no plan in {book.title}", "Plan it, or choose another wall.")
    return plan
