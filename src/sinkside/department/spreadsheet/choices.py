"""Which words a column takes, read from the document itself, so that the two never part."""

from __future__ import annotations

import functools
import types
from enum import StrEnum
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from sinkside.department.document import Department
from sinkside.department.spreadsheet.columns import Column, Sheet


def choices(sheet: Sheet, column: Column) -> tuple[str, ...]:
    """The words that a column takes; none where any words or a figure do.

    >>> from sinkside.department.spreadsheet.columns import sheets
    >>> air = sheets()["air"]
    >>> choices(air, air.columns[2])
    ('instrument', 'medical')
    """
    return _words(_annotation(sheet.name, column.path))


def is_required(sheet: Sheet, column: Column) -> bool:
    """Whether a thing must have it."""
    kind = _kind_of_rows(sheet)
    return len(column.path) == 1 and kind.model_fields[column.path[0]].is_required()


def _annotation(sheet: str, path: tuple[str, ...]) -> Any:
    from sinkside.department.spreadsheet.columns import sheets

    kind: Any = _kind_of_rows(sheets()[sheet])
    for step in path:
        kind = _plain(kind).model_fields[step].annotation
    return kind


@functools.cache
def _kind_of_rows(sheet: Sheet) -> type[BaseModel]:
    """What a row of a sheet makes."""
    kind: type[BaseModel] = Department
    steps = {"": [], "machine": ["machines"], "program": ["machines", "programs"]}[sheet.owner]
    for step in [*steps, *([sheet.field] if sheet.field else [])]:
        kind = get_args(kind.model_fields[step].annotation)[0]
    return kind


def _plain(annotation: Any) -> Any:
    """What may be left out, as if it could not be."""
    if get_origin(annotation) in {Union, types.UnionType}:
        return next(one for one in get_args(annotation) if one is not type(None))
    return annotation


def _words(annotation: Any) -> tuple[str, ...]:
    plain = _plain(annotation)
    if get_origin(plain) is tuple:
        plain = get_args(plain)[0]
    if get_origin(plain) is Literal:
        return tuple(str(word) for word in get_args(plain))
    if isinstance(plain, type) and issubclass(plain, StrEnum):
        return tuple(word.value for word in plain)
    return ()
