"""What every app compiles anew, kept for all apps of a run: three quarters of what a copied site cost."""

from collections.abc import Callable
from typing import Any

from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from werkzeug.routing import Rule

Builder = Callable[..., tuple[str, str]]
_compile = Rule._compile_builder
_builders: dict[tuple[object, ...], Builder] = {}


def builder_of(rule: Rule, append_unknown: bool = True) -> Builder:
    """What builds a route's addresses: it follows from the route's text, and is given the route itself."""
    key = (*rule._trace, *(rule.defaults or {}).items(), append_unknown)
    if key not in _builders:
        _builders[key] = _compile(rule, append_unknown)
    return _builders[key]


class Pages(BytecodeCache):
    """Compiled templates, each as long as its source stays the same."""

    def __init__(self) -> None:
        self._kept: dict[str, bytes] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fill a bucket with what was kept under its name, if it is of this source."""
        if bucket.key in self._kept:
            bucket.bytecode_from_string(self._kept[bucket.key])

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep a bucket."""
        self._kept[bucket.key] = bucket.bytecode_to_string()


class Statements(dict[tuple[Any, ...], Any]):
    """Compiled statements by kind of database: an engine's own cache is by its dialect's object."""

    def get(self, key: tuple[Any, ...], default: Any = None) -> Any:
        """What was compiled for a key of an engine's cache."""
        return super().get(_by_kind(key), default)

    def __setitem__(self, key: tuple[Any, ...], compiled: Any) -> None:
        super().__setitem__(_by_kind(key), compiled)


def _by_kind(key: tuple[Any, ...]) -> tuple[Any, ...]:
    dialect, *rest = key
    return type(dialect), *rest


_statements = Statements()
# an engine sets a cache of its own, which is let go
STATEMENTS = property(lambda _: _statements, lambda _, own: None)
