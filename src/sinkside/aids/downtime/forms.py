"""The forms of the paper pack, from a department's machines: each word of ours in both languages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.aids.papers.bilingual import Bilingual
from sinkside.aids.papers.setting import Values
from sinkside.department import Department, Machine, MachineKind

#: So many lines of a hand's height fit a sheet beside the head, on the smaller of both papers.
_LINES: Final = 12

#: The head and foot of a load take the place of so many lines.
_LINES_OF_A_LOAD: Final = 8

#: Wider than sterilizers where much is written; the rest share what is left.
_WIDE: Final = 2.2
_PLAIN: Final = 1.0

_STERILIZERS: Final = frozenset({MachineKind.steam_sterilizer, MachineKind.gas_sterilizer})
_TIMES_ARE_TRUE: Final = "Write the time at which it happened, not the time of writing."

Column = tuple[str, float]
_ARRIVAL: Final[Sequence[Column]] = (
    ("Day, time", _PLAIN),
    ("Set or device", _WIDE),
    ("From", _PLAIN),
    ("Pieces", 0.6),
    ("Treated at the point of use?", _PLAIN),
    ("Missing, damaged, told to", 1.6),
    ("Name", _PLAIN),
)
_IN_A_WASH: Final[Sequence[Column]] = (
    ("Day, time", _PLAIN),
    ("Set or device", _WIDE),
    ("Pieces", 0.6),
    ("Taken apart, opened?", _PLAIN),
    ("Lumens connected?", _PLAIN),
    ("Seen clean? By", _PLAIN),
)
_PACKING: Final[Sequence[Column]] = (
    ("Day, time", _PLAIN),
    ("Set or device", _WIDE),
    ("From wash load", _PLAIN),
    ("Pieces", 0.6),
    ("Looked at, tested?", _PLAIN),
    ("Packaging, label", 1.4),
    ("Name", _PLAIN),
)
_IN_A_LOAD: Final[Sequence[Column]] = (
    ("Set or device", _WIDE),
    ("Label", _PLAIN),
    ("Wash load", _PLAIN),
    ("Dry and whole afterwards?", _PLAIN),
)
_ISSUE: Final[Sequence[Column]] = (
    ("Day, time", _PLAIN),
    ("Set or device", _WIDE),
    ("Label, sterilizer load", 1.4),
    ("To", _PLAIN),
    ("Dry and whole?", _PLAIN),
    ("Given by", _PLAIN),
    ("Taken by", _PLAIN),
)
_OF_A_WASH: Final = ("Load number", "Started: day, time", "Ended: day, time", "Loaded by")
_OF_A_LOAD: Final = ("Load number", "Started: day, time", "Ended: day, time", "Loaded by", "Indicators, lot")
_ENDS_A_WASH: Final = ("Record seen, kept where", "Decided: meets or not", "By, day, time")
_ENDS_A_LOAD: Final = (
    "Today’s tests passed? Record kept where",
    "Indicators read, by",
    "Released or held, by a qualified person: name",
    "Signature, day, time",
)


def forms_of(site: Department, told: Bilingual) -> list[Values]:
    """Every form of a department, in the order of the work, each with the letter of its lines.

    Raises:
        NotForTheFloor: if a word has no translation.
    """
    maker = _FormMaker(told)
    forms = [maker.form("Arrival", _ARRIVAL, note="One line for each set or device.")]
    washers = [machine for machine in site.machines if machine.kind is MachineKind.washer_disinfector]
    sterilizers = [machine for machine in site.machines if machine.kind in _STERILIZERS]
    forms += [maker.load("Wash load", one, _IN_A_WASH, _OF_A_WASH, _ENDS_A_WASH) for one in washers]
    careful = "Count and look before you pack. Soil sends the whole set back."
    forms.append(maker.form("Packing", _PACKING, note=careful))
    forms += [maker.load("Sterilizer load", one, _IN_A_LOAD, _OF_A_LOAD, _ENDS_A_LOAD) for one in sterilizers]
    forms.append(maker.form("Issue", _ISSUE, note="Only from a load that a named person released."))
    return [{**form, "letter": letter} for letter, form in zip(_letters(), forms, strict=False)]


def _letters() -> Iterator[str]:
    """Letters that no hand writes like a digit."""
    for first in ("", *"ABC"):
        for letter in "ABCDEFGHJKLMNPRTUVWXY":
            yield first + letter


@dataclass(frozen=True)
class _FormMaker:
    """Makes forms in the languages that somebody reads."""

    told: Bilingual

    def form(self, title: str, columns: Sequence[Column], *, note: str) -> Values:
        """A form with a line for each thing."""
        return {
            "title": self.told.both(title),
            "machine": "",
            "notes": [self.told.both(note), self.told.both(_TIMES_ARE_TRUE)],
            "programs": [],
            "fields": [],
            "ends": [],
            "columns": [{"name": self.told.both(name), "width": width} for name, width in columns],
            "lines": _LINES,
        }

    def load(
        self,
        title: str,
        machine: Machine,
        columns: Sequence[Column],
        fields: Sequence[str],
        ends: Sequence[str],
    ) -> Values:
        """One load of one machine, with its programs to tick."""
        return {
            **self.form(title, columns, note="One sheet for each load."),
            "machine": self.told.name(machine.name),
            "programs": [self.told.name(program.name) for program in machine.programs],
            "fields": [self.told.both(field) for field in fields],
            "ends": [self.told.both(field) for field in ends],
            "lines": _LINES_OF_A_LOAD,
        }
