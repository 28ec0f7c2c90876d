"""YAML from outside, bounded before it is read: short, not deep, without aliases and tags.

Plain scalars are texts, numbers, true, false and null alone: a day that looks like one stays a text.
"""

from typing import Any

import yaml

from seamwalk.book.json_text import check_characters
from seamwalk.errors import BookError, ProcedureError

MAX_BYTES = 400_000
MAX_DEPTH = 20
_REMEDY = "Correct the file at that line."
_PLAIN = frozenset(
    f"tag:yaml.org,2002:{name}" for name in ("str", "int", "float", "bool", "null", "map", "seq")
)
_FAST: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_DUMPER: type[Any] = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


class _Loader(_FAST):  # type: ignore[misc]
    """The safe loader without days and moments."""

    yaml_implicit_resolvers = {  # noqa: RUF012
        first: [(tag, shape) for tag, shape in resolvers if tag in _PLAIN]
        for first, resolvers in _FAST.yaml_implicit_resolvers.items()
    }


def read_yaml(name: str, text: str) -> tuple[Any, Any]:
    """Read a file called `name`: its root node, which knows its lines, and its value.

    Raise ProcedureError.
    """
    if len(text) > MAX_BYTES:
        raise ProcedureError(
            f"{name}: is longer than {MAX_BYTES} characters", "Leave out what did not change."
        )
    try:
        _check_events(name, text)
        loader = _Loader(text)
        try:
            root = loader.get_single_node()
            value = None if root is None else loader.construct_document(root)
            check_characters(value)
        finally:
            loader.dispose()
    except yaml.YAMLError as error:
        raise _wrong(name, getattr(error, "problem_mark", None), f"not YAML ({error})") from error
    except (ValueError, LookupError) as error:
        raise _wrong(name, None, f"a value is none of its kind ({error})") from error
    except BookError as error:
        raise _wrong(name, None, error.message) from error
    return root, value


def write_yaml(value: Any) -> str:
    """Write a value so that people can edit it and `read_yaml` reads it again."""
    text: str = yaml.dump(value, Dumper=_DUMPER, sort_keys=False, allow_unicode=True, width=110)
    return text


def _check_events(name: str, text: str) -> None:
    """Look at the file as it is parsed, before anything is made of it."""
    depth = 0
    for event in yaml.parse(text, Loader=_Loader):
        depth += isinstance(event, yaml.CollectionStartEvent) - isinstance(event, yaml.CollectionEndEvent)
        if depth > MAX_DEPTH:
            raise _wrong(name, event.start_mark, f"nested more than {MAX_DEPTH} deep")
        if isinstance(event, yaml.AliasEvent):
            raise _wrong(name, event.start_mark, "an alias (*) stands for something else: write it out")
        if getattr(event, "tag", None) is not None:
            raise _wrong(name, event.start_mark, "a tag (!) says what a value is: write it without")


def _wrong(name: str, mark: Any, what: str) -> ProcedureError:
    return ProcedureError(f"{name}:{mark.line + 1 if mark else 1}: {what}", _REMEDY)
