"""Pages of what is too long for one."""

from typing import Annotated, Any

from flask_sqlalchemy.pagination import Pagination
from pydantic import Field
from sqlalchemy import Select

from seamwalk.store.db import db
from seamwalk.web.inputs import QueryParams, read_query

_MOST_PAGES = 1_000_000


class _Paged(QueryParams):
    page: Annotated[int, Field(ge=1, le=_MOST_PAGES)] = 1


def page_of(rows: Select[Any], size: int) -> Pagination:
    """The page that the address asks for, the first if none; 404 for one past the end."""
    return db.paginate(rows, page=read_query(_Paged).page, per_page=size, max_per_page=size)
