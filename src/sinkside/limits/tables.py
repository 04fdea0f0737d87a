"""The published figures, read from their tables when first asked for."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from importlib import resources
from typing import Any

from sinkside.errors import BadInput
from sinkside.limits.limit import Limit, LimitKind, Relation
from sinkside.sources import source


def published(limit_id: str) -> Limit:
    """A published figure of any kind and jurisdiction, by its id.

    Raises:
        BadInput: if nothing is published under that id.

    >>> published("pairs-270f").value[0]
    132.22
    """
    for topic in topics():
        # A table is read when one of its figures is asked for: all of them take a tenth of a second.
        if f"[{limit_id}]" in _text(topic) and (limit := _table(topic).get(limit_id)):
            return limit
    figures = all_published()
    raise BadInput(f"no figure is published as '{limit_id}'{_nearest(limit_id, figures)}", resource=limit_id)


@functools.cache
def all_published() -> Mapping[str, Limit]:
    """Every published figure by its id, topic by topic."""
    return {limit_id: limit for topic in topics() for limit_id, limit in _table(topic).items()}


@functools.cache
def topics() -> tuple[str, ...]:
    """The topics that figures are published on.

    >>> "steam" in topics()
    True
    """
    names = (file.name for file in resources.files("sinkside.limits").joinpath("tables").iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml")))


@functools.cache
def _text(topic: str) -> str:
    file = resources.files("sinkside.limits").joinpath("tables", f"{topic}.toml")
    return file.read_text(encoding="utf-8")


@functools.cache
def _table(topic: str) -> Mapping[str, Limit]:
    rows = tomllib.loads(_text(topic))
    return {limit_id: _limit(limit_id, topic, row) for limit_id, row in rows.items()}


def _limit(limit_id: str, topic: str, row: Mapping[str, Any]) -> Limit:
    value = row["value"]
    low, high = value if isinstance(value, list) else (value, value)
    return Limit(
        id=limit_id,
        topic=topic,
        kind=LimitKind(row["kind"]),
        quantity=row["quantity"],
        relation=Relation(row["relation"]),
        value=(float(low), float(high)),
        unit=row["unit"],
        context=row["context"],
        jurisdiction=row["jurisdiction"],
        source=source(row["source"]).at(row.get("clause", ""), how_read=row["how_read"]),
        note=row.get("note", ""),
    )


def _nearest(limit_id: str, figures: Mapping[str, Limit]) -> str:
    """What was perhaps meant; there are too many figures to name them all."""
    import difflib

    near = difflib.get_close_matches(limit_id, figures, n=3)
    return f"; close to it are {', '.join(near)}" if near else "; `sinkside limits` names them all"
