"""Columns that tell cycles apart: which they are in a table, and what a folder's name says in their place."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import PurePath
from typing import Final

from sinkside.cycles.many.record import Said
from sinkside.errors import BadInput

#: In words that recorders and tables use (common practice, no source); the first that is there counts.
_CYCLE: Final = (
    "cycle_id", "cycle", "cycle_no", "cycle_number", "run_id", "run", "batch_id", "batch", "batch_no",
    "load_id", "load_no", "load_number", "trace_id", "trace", "charge", "charge_nr", "zyklus",
)  # fmt: skip
_MACHINE: Final = (
    "machine_id", "machine", "machine_no", "sterilizer_id", "sterilizer", "steriliser", "washer_id", "washer",
    "maschine", "equipment_id", "equipment",
)  # fmt: skip
_PROGRAM: Final = ("program_id", "program", "program_name", "programme", "programm", "program_no")

_FOLDER: Final = re.compile(r"^([^=]+)=(.*)$")


@dataclass(frozen=True, kw_only=True)
class KeyColumns:
    """The columns that say which cycle, machine and program a row belongs to; None: told by their names."""

    cycle: str | None = None
    machine: str | None = None
    program: str | None = None

    def found_in(self, columns: Mapping[str, bool]) -> dict[str, str]:
        """The columns that tell cycles apart, by what they say; empty where the table is one cycle.

        Args:
            columns: Each column's name, and whether it may hold names or numbers of cycles: a reading may
                not.

        Raises:
            BadInput: if a column that was asked for is not there.

        >>> KeyColumns().found_in({"Cycle No": True, "machine": True, "load": False, "t": False})
        {'cycle': 'Cycle No', 'machine': 'machine'}
        """
        found = {}
        for what, asked, usual in self._wanted():
            name = asked if asked is not None else _first(usual, columns)
            if asked is not None and asked not in columns:
                raise BadInput(f"there is no column '{asked}'; the columns are {', '.join(columns)}")
            if name is not None:
                found[what] = name
        return found if "cycle" in found else {}

    def said_by_folders(self, path: PurePath) -> Said:
        """What folders named `machine=S1` say of everything in them.

        >>> KeyColumns().said_by_folders(PurePath("2026/machine=S1/program=134-5/part-0.parquet"))
        Said(cycle='', machine='S1', program='134-5')
        """
        said = {}
        for part in path.parts[:-1]:
            pair = _FOLDER.match(part)
            for what, asked, usual in self._wanted():
                if pair and _plain(pair[1]) in ([_plain(asked)] if asked is not None else usual):
                    said[what] = pair[2]
        return Said(**said)

    def _wanted(self) -> Iterable[tuple[str, str | None, tuple[str, ...]]]:
        return (
            ("cycle", self.cycle, _CYCLE),
            ("machine", self.machine, _MACHINE),
            ("program", self.program, _PROGRAM),
        )


def _first(usual: Iterable[str], columns: Mapping[str, bool]) -> str | None:
    plain = {_plain(name): name for name, may in columns.items() if may}
    return next((plain[word] for word in usual if word in plain), None)


def _plain(name: str) -> str:
    return re.sub(r"[\W_]+", "_", name.casefold()).strip("_")
