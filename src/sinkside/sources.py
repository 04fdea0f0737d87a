"""The one bibliography: what Sinkside leans on, and how each source was read.

The entries are data (`bibliography.toml`, beside this file). One book can be read in one clause and known
second-hand in another, so a figure that cites a source names its own clause and its own way of reading; the
entry's `how_read` holds for whatever the entry is cited for without either.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib import resources
from typing import Self

from sinkside.errors import BadInput

#: How a figure was come by, and how that is said to people.
WAYS_OF_READING: Mapping[str, str] = {
    "read": "read in the source itself",
    "computed": "computed from a formula",
    "second-hand": "quoted second-hand",
    "memory": "from memory, to be checked",
    "common-practice": "common practice, no standard found",
}
_TRUSTED = frozenset({"read", "computed"})


@dataclass(frozen=True)
class Source:
    """One published source, at one clause, with the way in which that clause was read.

    >>> Source("x", title="A standard", edition="2015", clause="Table 1", how_read="memory").trusted
    False
    """

    key: str
    title: str
    edition: str = ""
    clause: str = ""
    how_read: str = "memory"

    def __post_init__(self) -> None:
        if self.how_read not in WAYS_OF_READING:
            known = ", ".join(WAYS_OF_READING)
            raise BadInput(
                f"'{self.how_read}' is no way of reading; expected one of {known}", resource=self.key
            )

    @property
    def trusted(self) -> bool:
        """Whether its figures may be shown without a warning: they were read or computed."""
        return self.how_read in _TRUSTED

    @property
    def how_read_phrase(self) -> str:
        """How it was read, in words for people."""
        return WAYS_OF_READING[self.how_read]

    def at(self, clause: str, *, how_read: str) -> Self:
        """The same source at another clause, read in its own way."""
        return replace(self, clause=clause, how_read=how_read)

    def __str__(self) -> str:
        return ", ".join(part for part in (self.title, self.edition, self.clause) if part)


def source(key: str, clause: str = "", *, how_read: str | None = None) -> Source:
    """A source of the bibliography, at a clause where one is named.

    Args:
        key: the entry's key.
        clause: clause, table or page; the entry's own unless told.
        how_read: how that clause was read. Unless told, what the bibliography says of the clause, else of the
            whole entry.

    Raises:
        BadInput: if there is no such entry.

    >>> source("cdc-2008", "Table 7").trusted
    True
    """
    entry = _entries().get(key)
    if entry is None:
        raise BadInput(f"the bibliography has no source '{key}'", resource="bibliography.toml")
    at_clause = clause or entry.whole.clause
    return entry.whole.at(
        at_clause, how_read=how_read or entry.read_clauses.get(at_clause, entry.whole.how_read)
    )


def bibliography() -> tuple[Source, ...]:
    """Every source, by key.

    >>> bibliography()[0].key < bibliography()[-1].key
    True
    """
    return tuple(_entries()[key].whole for key in sorted(_entries()))


@dataclass(frozen=True)
class _Entry:
    """An entry of the bibliography: the source as a whole, and the clauses that were read in another way."""

    whole: Source
    read_clauses: Mapping[str, str]


@functools.cache
def _entries() -> Mapping[str, _Entry]:
    text = resources.files("sinkside").joinpath("bibliography.toml").read_text(encoding="utf-8")
    return {key: _entry(key, fields) for key, fields in tomllib.loads(text).items()}


def _entry(key: str, fields: Mapping[str, str | Mapping[str, str]]) -> _Entry:
    words = {name: text for name, text in fields.items() if isinstance(text, str)}
    clauses = fields.get("clauses", {})
    return _Entry(Source(key, **words), clauses if isinstance(clauses, Mapping) else {})
