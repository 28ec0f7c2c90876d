"""Why each check of a wall stands as it does, in people's names and times."""

from dataclasses import dataclass
from functools import cache

from sqlalchemy import select
from sqlalchemy.orm import Session

from seamwalk.domain.findings.explanation import explain
from seamwalk.domain.findings.findings import Fold
from seamwalk.store.findings.states import acts_of_wall, name_of
from seamwalk.store.projections.check_states import acts_at_or_on, to_act
from seamwalk.store.tables import ActRow


@dataclass(frozen=True)
class CheckExplanation:
    """One of `explanation.KEYS`, and who did last what it speaks of, at which time by their clock."""

    key: str
    who: str = ""
    at: str = ""
    other: str = ""
    other_at: str = ""

    @property
    def words(self) -> dict[str, str]:
        """What goes into the sentence."""
        return {"who": self.who, "at": self.at, "other": self.other, "other_at": self.other_at}


def explain_wall(session: Session, book_id: str, wall: str) -> dict[str, CheckExplanation]:
    """Tell for every check of a wall that anybody has touched why it stands as it does."""
    where = (ActRow.book == book_id, acts_at_or_on(book_id, acts_of_wall(book_id, wall)))
    rows = session.scalars(select(ActRow).where(*where)).all()
    by_id = {row.entry: row for row in rows}
    fold = Fold(map(to_act, rows))

    @cache
    def name(device: str) -> str:
        return name_of(session, book_id, device)

    def last(ids: tuple[str, ...]) -> tuple[str, str]:
        row = max((by_id[entry] for entry in ids), key=lambda row: row.idx, default=None)
        return ("", "") if row is None else (name(row.device), row.at)

    found = {}
    for check in fold.checks():
        if check.startswith(f"{wall}/"):
            reason = explain(fold, check)
            found[check] = CheckExplanation(reason.key, *last(reason.acts), *last(reason.others))
    return found
