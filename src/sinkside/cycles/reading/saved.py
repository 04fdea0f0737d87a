"""A saved reader: how the files of one recorder are to be read, as data that is kept with its machine."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Literal

from sinkside.cycles.reading.heads import Head
from sinkside.cycles.reading.spelling import DateOrder, HeadKind, PressureReference, VacuumUnit
from sinkside.cycles.trace import Place, Role
from sinkside.documents import Value
from sinkside.errors import BadInput


class ReaderColumn(Value):
    """How one column of a recorder's file is to be read.

    Attributes:
        head: As the file has it.
        kind: The quantity.
        unit: Of the readings; left out where the quantity has none, or none is known.
        reference: Whether a pressure is absolute or gauge.
        role: Whether it measures in the chamber.
        place: Where exactly.
        vacuum_unit: Of a compound gauge's readings below zero.
    """

    head: str
    kind: HeadKind
    unit: str | None = None
    reference: PressureReference | None = None
    role: Role = Role.chamber
    place: Place = Place.unsaid
    vacuum_unit: VacuumUnit | None = None


class Reader(Value):
    """How the files of one recorder are to be read (`sinkside/reader-1`).

    Attributes:
        columns: In the order of the file.
        date_order: In which order the numbers of its dates stand.
        altitude_m: Of the site, for gauge pressures.
    """

    format: Literal["sinkside/reader-1"] = "sinkside/reader-1"
    columns: tuple[ReaderColumn, ...]
    date_order: DateOrder | None = None
    altitude_m: float | None = None

    def heads_for(self, names: Sequence[str]) -> list[Head]:
        """What the columns of a file are, by its heads.

        Raises:
            BadInput: if the heads are no longer those of the recorder; says what changed.

        >>> reader = Reader(columns=(ReaderColumn(head="T1", kind="temperature", unit="°C"),))
        >>> reader.heads_for(["T1"])[0].unit
        '°C'
        """
        own = [column.head for column in self.columns]
        now = [_plain(name) for name in names]
        if now != own:
            raise BadInput(f"the head of this recorder changed: {_changes(own, now)}; make its reader anew")
        return [
            Head(name.strip(), c.kind, c.unit, c.reference, c.role, c.place, c.vacuum_unit)
            for name, c in zip(names, self.columns, strict=True)
        ]

    @classmethod
    def of(
        cls,
        heads: Sequence[Head],
        names: Sequence[str],
        *,
        date_order: DateOrder | None = None,
        altitude_m: float = 0.0,
    ) -> Reader:
        """The reader of a recorder one of whose files was read, by what its columns turned out to be."""
        columns = tuple(
            ReaderColumn(
                head=_plain(name),
                kind=h.kind,
                unit=h.unit,
                reference=h.reference,
                role=h.role,
                place=h.place,
                vacuum_unit=h.vacuum_unit,
            )
            for name, h in zip(names, heads, strict=True)
        )
        return cls(columns=columns, date_order=date_order, altitude_m=altitude_m or None)


def _plain(name: str) -> str:
    return " ".join(name.split())


def _changes(own: Sequence[str], now: Sequence[str]) -> str:
    """What is gone, what is new, or that only the order differs."""
    gone, new = Counter(own) - Counter(now), Counter(now) - Counter(own)
    told = [f"'{name}' is gone" for name in gone] + [f"'{name}' is new" for name in new]
    return ", ".join(told) or "its columns stand in another order"
