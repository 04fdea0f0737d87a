"""What the things that entries of the record book concern are called now, for people who know no ids."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.departments import department_in
from sinkside.desk.machine_things import things_of
from sinkside.desk.people import names_in, person_subject
from sinkside.desk.ports import Unit
from sinkside.desk.sign_off_records import family_names
from sinkside.journal import Event


def called(unit: Unit, who: Visitor, subjects: Collection[str]) -> dict[str, str]:
    """What some subjects are called, by the subject; one that has no name any more is told by what it is.

    Args:
        unit: the transaction.
        who: who reads.
        subjects: what entries concern, such as `copy:c-1`.
    """
    by_noun: dict[str, set[str]] = {}
    for one in subjects:
        noun, _, key = one.partition(":")
        by_noun.setdefault(noun, set()).add(key)
    found = {one: plain_noun(one.partition(":")[0]) for one in subjects}
    for noun, keys in by_noun.items():
        found.update({f"{noun}:{key}": words for key, words in _titles(unit, who, noun, keys).items()})
    return found


def families_called(unit: Unit, who: Visitor, events: Iterable[Event]) -> Mapping[str, str]:
    """What the device families are called that some entries name."""
    families = {str(event.data["family"]) for event in events if event.data.get("family")}
    return family_names(unit, who.department, families) if families else {}


def plain_noun(noun: str) -> str:
    """What something is, where nobody gave it a name.

    >>> plain_noun("water-event"), plain_noun("exception")
    ('a water event', 'an exception')
    """
    words = noun.replace("-", " ")
    return f"{'an' if words[:1] in set('aeio') else 'a'} {words}"


def _titles(unit: Unit, who: Visitor, noun: str, keys: Collection[str]) -> Mapping[str, str]:
    own = _OWN.get(noun)
    return own(unit, who, keys) if own else unit.rows.titles(noun, keys)


def _people(unit: Unit, _who: Visitor, keys: Collection[str]) -> Mapping[str, str]:
    return names_in(unit, keys)


def _copies(unit: Unit, _who: Visitor, keys: Collection[str]) -> Mapping[str, str]:
    copies = (unit.bench.copies.get(key) for key in keys)
    return {one.id: f"{one.name} ({one.code})" for one in copies if one}


def _runs(unit: Unit, _who: Visitor, keys: Collection[str]) -> Mapping[str, str]:
    """Runs by their sets."""
    found = {}
    for key in keys:
        kept = unit.bench.runs.get(key)
        copy = unit.bench.copies.get(kept.copy) if kept else None
        if copy is not None:
            found[key] = f"a run of {copy.name} ({copy.code})"
    return found


def _loads(unit: Unit, _who: Visitor, keys: Collection[str]) -> Mapping[str, str]:
    loads = (unit.bench.loads.get(key) for key in keys)
    return {one.id: f"the load of {one.fields.get('machine_name', one.machine)}" for one in loads if one}


def _cases(unit: Unit, _who: Visitor, keys: Collection[str]) -> Mapping[str, str]:
    cases = (unit.bench.cases.get(key) for key in keys)
    return {one.id: f"case {one.number}" for one in cases if one}


def _machines(unit: Unit, who: Visitor, keys: Collection[str]) -> Mapping[str, str]:
    site = department_in(unit, who.department)
    return {one.id: one.name for one in things_of(site) if one.id in keys} if site else {}


#: What is called by something else than the title of a list's line.
_OWN: Final = {
    person_subject("").rstrip(":"): _people,
    "copy": _copies,
    "run": _runs,
    "load": _loads,
    "case": _cases,
    "machine": _machines,
}
