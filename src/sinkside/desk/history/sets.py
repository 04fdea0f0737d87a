"""The history of a set: every run of it, its loads and their records, its list, recalls, repairs, cases."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from sinkside.bench.gaps_of_others import Worked, person_gaps
from sinkside.bench.gaps_of_runs import run_gaps
from sinkside.bench.history import Line
from sinkside.bench.run import Run
from sinkside.desk.access import Visitor
from sinkside.desk.bench.copies import copy_in, subject_of
from sinkside.desk.bench.pieces import SET
from sinkside.desk.concerning import concerning
from sinkside.desk.evidence.gaps import beside_gaps
from sinkside.desk.evidence.gathering import gather
from sinkside.desk.history import loads
from sinkside.desk.history.gathered import BESIDE, Gathered, Page, next_page, own_entries
from sinkside.desk.history.telling import act_of, beside, is_done, lines_of
from sinkside.desk.history.worked import Plans, worked_on
from sinkside.desk.ports import Unit
from sinkside.journal import Event
from sinkside.records import KeptCopy, KeptLoad, KeptRun, Wanted

_INTO: Final = frozenset({"add-to-load", "immediate-use"})
_OUT_OF: Final = "take-out-of-load"
_LOADED: Final = "load"

#: What stands beside an act of a set and belongs to nothing else; the rest has a line of its own.
_OF_THE_SET: Final = frozenset({"exception", "alarm"})
#: Of so many runs of one page the gaps are worked out; a page seldom has more than five.
_MOST_RUNS: Final = 12


@dataclass(frozen=True)
class _Own:
    """The entries of a page, newest first; what asks for the page below; the copies that they concern."""

    entries: Sequence[Event]
    before: str
    copies: frozenset[str]


def of_set(unit: Unit, who: Visitor, copy: str, page: Page) -> Gathered:
    """One page of a set's history, or of a marked instrument's.

    Raises:
        NotThere: if there is none here.
    """
    known = copy_in(unit, who, copy)
    own = _own(unit, who, known, page)
    its_loads = _loads_of(unit, own)
    of_loads = loads.load_entries(unit, who, its_loads)
    others = _others(unit, who, own.entries) + _of_list(unit, who, known, own, page)
    every = {one.sequence: one for one in (*own.entries, *of_loads, *others)}
    gaps = _gaps_of_runs(unit, own.entries)
    gaps += _gaps_of_people(unit, who, own.entries)
    gaps += _of_evidence(unit, who, known, page)
    gaps += [line for load in its_loads for line in loads.gaps_of(unit, who, load, page)]
    return Gathered(
        title=f"{known.name}, {known.code}",
        about=f"{'A marked instrument' if known.kind == 'instrument' else 'A set'}; now: {known.place}",
        gaps=tuple(gaps),
        lines=tuple(lines_of(unit, who, every.values(), of=subject_of(copy))),
        before=own.before,
    )


def _own(unit: Unit, who: Visitor, copy: KeptCopy, page: Page) -> _Own:
    """A set's own entries; of a marked instrument those of the runs that it was put into too."""
    own = own_entries(unit, who, subject_of(copy.id), page)
    whole = str(copy.fields.get(SET) or "") if copy.kind == "instrument" else ""
    if not whole:
        return _Own(own, next_page(own), frozenset({copy.id}))
    of_set = own_entries(unit, who, subject_of(whole), page)
    inside = {one.id for one in _runs_of(unit, of_set) if copy.id in Run.model_validate_json(one.body).pieces}
    # A page ends where the longer of the two ends, so that what is older stands on the next one.
    ends = [one[-1].sequence for one in (own, of_set) if next_page(one)]
    since = max(ends, default=0)
    found = [*own, *(one for one in of_set if one.data.get("run") in inside)]
    entries = sorted((one for one in found if one.sequence >= since), key=lambda one: -one.sequence)
    return _Own(entries, str(since) if ends else "", frozenset({copy.id, whole}))


def _loads_of(unit: Unit, own: _Own) -> list[KeptLoad]:
    """The loads into which a page's acts put a set, and in which it stayed."""
    inside: dict[str, None] = {}
    for event in sorted(filter(is_done, own.entries), key=lambda one: one.sequence):
        name = act_of(event).get("act")
        named = [one.partition(":")[2] for one in beside(event) if one.startswith(f"{_LOADED}:")]
        if name in _INTO:
            inside.update(dict.fromkeys(named))
        elif name == _OUT_OF:
            for load in named:
                inside.pop(load, None)
    found = (unit.bench.loads.get(load) for load in inside)
    return [one for one in found if one is not None and _stayed(unit, one, own.copies)]


def _stayed(unit: Unit, load: KeptLoad, copies: frozenset[str]) -> bool:
    """Whether it was not taken out again on a page above."""
    return any(one.copy in copies and one.out is None for one in unit.bench.loads.in_load(load.id))


def _others(unit: Unit, who: Visitor, own: Sequence[Event]) -> list[Event]:
    """Entries of what belongs to acts of this page alone: forms for exceptions, alarms to theatre."""
    named = [one for event in own for one in beside(event)]
    subjects = [one for one in named if one.partition(":")[0] in _OF_THE_SET]
    if not subjects:
        return []
    return unit.journal.events(who.department, Wanted(subjects=tuple(subjects), limit=BESIDE))


def _of_list(unit: Unit, who: Visitor, copy: KeptCopy, own: _Own, page: Page) -> list[Event]:
    """Changes of its list, recalls, loans: what does not belong to one act goes by the time of the page.

    What its list was before the set had its code is not its history; a loan may have begun before that.
    """
    oldest = own.entries[-1].sequence - 1 if own.entries else 0
    named = concerning(unit, who.department, copy.id)
    found = []
    if named:
        after = oldest if own.before else 0
        wanted = Wanted(subjects=named, after=after, before=page.sequence, limit=BESIDE)
        found += unit.journal.events(who.department, wanted)
    if copy.kind == "set" and own.entries:
        of_list = Wanted(subject=f"set:{copy.of}", after=oldest, before=page.sequence, limit=BESIDE)
        found += unit.journal.events(who.department, of_list)
    return found


def _runs_of(unit: Unit, own: Sequence[Event]) -> list[KeptRun]:
    ids = dict.fromkeys(str(one.data["run"]) for one in own if is_done(one) and one.data.get("run"))
    found = (unit.bench.runs.get(run) for run in list(ids)[:_MOST_RUNS])
    return [one for one in found if one is not None]


def _gaps_of_runs(unit: Unit, own: Sequence[Event]) -> list[Line]:
    plans = Plans(unit)
    found: list[Line] = []
    for kept in _runs_of(unit, own):
        plan = plans.of(kept.id)
        if plan is not None:
            found += run_gaps(plan, Run.model_validate_json(kept.body), opened=kept.opened)
    return found


def _gaps_of_people(unit: Unit, who: Visitor, own: Sequence[Event]) -> list[Line]:
    """Work that no sign-off carried, by whom."""
    of_people: dict[str, list[Worked]] = {}
    for person, work in worked_on(unit, who, own):
        of_people.setdefault(person, []).append(work)
    return [replace(line, by=person) for person, works in of_people.items() for line in person_gaps(works)]


def _of_evidence(unit: Unit, who: Visitor, copy: KeptCopy, page: Page) -> list[Line]:
    """What is not recorded beside the last run: its texts, its solutions, the papers that hung.

    The files of earlier runs say it of theirs: to put one together for each line would make a page slow.
    """
    if not page.is_first or not copy.run:
        return []
    kept = unit.bench.runs.get(copy.run)
    if kept is None or not kept.plan:
        return []
    return list(beside_gaps(gather(unit, who, copy.run, now=page.now)))
