"""What the sheets and columns of the spreadsheet are: data, read from `columns.toml`."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib import resources
from typing import Literal

ColumnKind = Literal["text", "list", "quantity", "whole", "number", "yes"]


@dataclass(frozen=True)
class Column:
    """One column: its heading, where its value stands in the document, what it is, and an example."""

    heading: str
    path: tuple[str, ...]
    kind: ColumnKind
    says: str
    example: str


@dataclass(frozen=True)
class Sheet:
    """One sheet: its name, the field of the document that its rows fill, and whose rows they are part of.

    `words` are what people call all of it, `one` a single row; `named` are the fields that tell what a row is
    called.
    """

    name: str
    words: str
    one: str
    field: str
    owner: str
    about: str
    named: tuple[str, ...]
    columns: tuple[Column, ...]

    @property
    def key(self) -> str:
        """The field that tells its rows apart."""
        return self.own_columns[0].path[0]

    @property
    def own_columns(self) -> tuple[Column, ...]:
        """The columns that describe the thing itself, and not whose it is."""
        owners = {"": 0, "machine": 1, "program": 2}[self.owner]
        return self.columns[owners:]


@functools.cache
def sheets() -> dict[str, Sheet]:
    """The sheets by name, in the order in which they are filled in."""
    file = resources.files("sinkside.department.spreadsheet").joinpath("columns.toml")
    found = tomllib.loads(file.read_text(encoding="utf-8"))
    return {
        name: Sheet(
            name,
            values["words"],
            values["one"],
            values.get("field", ""),
            values.get("owner", ""),
            values["about"],
            tuple(values.get("named", ("name",))),
            tuple(
                Column(heading, tuple(path.split(".")), kind, says, example)
                for heading, path, kind, says, example in values["columns"]
            ),
        )
        for name, values in found.items()
    }
