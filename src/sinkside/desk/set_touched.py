"""Which sets a change of a text touches, and which of them somebody must look at again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from sinkside.desk import sets
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit
from sinkside.desk.set_documents import SetLook
from sinkside.desk.set_texts import Finder, TextChanged, changed_since, folded, look_in, titles_of
from sinkside.records import Row

_MOST: Final = 500


@dataclass(frozen=True)
class SetToLookAt:
    """A set, and the devices whose text changed since somebody looked at it."""

    row: Row
    changed: tuple[TextChanged, ...]


def sets_with(unit: Unit, who: Visitor, instruction: Row) -> tuple[Row, ...]:
    """The sets in use here that have a device of an instruction, by name.

    A set knows a device by the instruction's id or by what the device is called.
    """
    if not who.may(sets.READ):
        return ()
    found = [row for row in _in_use(unit, who) if _has(look_in(row), instruction)]
    return tuple(sorted(found, key=lambda row: (row.title, row.id)))


def sets_to_look_at(unit: Unit, who: Visitor) -> Iterator[SetToLookAt]:
    """The sets in use here of which a device's approved text is another one than when somebody looked."""
    in_use = _in_use(unit, who)
    finder = Finder(unit, who).read_all() if in_use else Finder(unit, who)
    for row in in_use:
        if changed := tuple(changed_since(look_in(row), finder)):
            yield SetToLookAt(row, changed)


def _in_use(unit: Unit, who: Visitor) -> list[Row]:
    return unit.rows.all(sets.KIND, [who.department], states=[sets.IN_USE], limit=_MOST)


def _has(look: SetLook, instruction: Row) -> bool:
    titles = titles_of(instruction)
    is_seen = any(seen.instruction == instruction.id for seen in look.texts)
    return is_seen or any(folded(named) in titles for named in look.unknown)
