"""The one `db`: what all tables are made of, and the session that a request reads by.

`db.session` only reads. It refuses to keep a change: what is written goes through `Store.write()`, which
takes the database for itself from its first statement.
"""

from typing import TYPE_CHECKING, Any

from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import JSON, MetaData, event
from sqlalchemy.orm import DeclarativeBase, ORMExecuteState, registry

_NAMES = {
    "ix": "ix_%(column_0_label)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """How a table is written down."""

    registry = registry(
        metadata=MetaData(naming_convention=_NAMES),
        type_annotation_map={dict[str, Any]: JSON, list[Any]: JSON},
    )


class OnlyReads(RuntimeError):
    """A request was about to change something by the session that it reads by."""


db = SQLAlchemy(model_class=Base, disable_autonaming=True)
if TYPE_CHECKING:
    Model = Base
else:
    Model = db.Model


@event.listens_for(db.session, "before_flush")
@event.listens_for(db.session, "before_commit")
def _refuse(*_: object) -> None:
    raise OnlyReads("db.session only reads: change things in the session of services().store.write()")


@event.listens_for(db.session, "do_orm_execute")
def _refuse_statement(state: ORMExecuteState) -> None:
    if state.is_insert or state.is_update or state.is_delete:
        _refuse()
