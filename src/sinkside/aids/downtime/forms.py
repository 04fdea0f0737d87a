"""The forms of the paper pack, from a department's machines: plain values for the template."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, Final

from sinkside.department import Department, Machine, MachineKind

Values = dict[str, Any]

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


def forms_of(site: Department) -> list[Values]:
    """Every form of a department, in the order of the work, each with the letter of its lines."""
    forms = [_form("Arrival", _ARRIVAL, note="One line for each set or device.")]
    washers = [machine for machine in site.machines if machine.kind is MachineKind.washer_disinfector]
    sterilizers = [machine for machine in site.machines if machine.kind in _STERILIZERS]
    forms += [_load("Wash load", one, _IN_A_WASH, _OF_A_WASH, _ENDS_A_WASH) for one in washers]
    forms.append(
        _form("Packing", _PACKING, note="Count and look before you pack. Soil sends the whole set back.")
    )
    forms += [_load("Sterilizer load", one, _IN_A_LOAD, _OF_A_LOAD, _ENDS_A_LOAD) for one in sterilizers]
    forms.append(_form("Issue", _ISSUE, note="Only from a load that a named person released."))
    return [{**form, "letter": letter} for letter, form in zip(_letters(), forms, strict=False)]


def _letters() -> Iterator[str]:
    """Letters that no hand writes like a digit."""
    for first in ("", *"ABC"):
        for letter in "ABCDEFGHJKLMNPRTUVWXY":
            yield first + letter


def _form(title: str, columns: Sequence[Column], *, note: str) -> Values:
    return {
        "title": title,
        "machine": "",
        "note": f"{note} {_TIMES_ARE_TRUE}",
        "programs": [],
        "fields": [],
        "ends": [],
        "columns": [{"name": name, "width": width} for name, width in columns],
        "lines": _LINES,
    }


def _load(
    title: str, machine: Machine, columns: Sequence[Column], fields: Sequence[str], ends: Sequence[str]
) -> Values:
    """One load of one machine, with its programs to tick."""
    return {
        **_form(title, columns, note="One sheet for each load."),
        "machine": machine.name,
        "programs": [program.name for program in machine.programs],
        "fields": list(fields),
        "ends": list(ends),
        "lines": _LINES_OF_A_LOAD,
    }
