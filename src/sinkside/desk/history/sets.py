"""The history of a set: every run of it, its loads and their records, its list, recalls, repairs, cases."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from sinkside.bench.gaps_of_runs import run_gaps
from sinkside.bench.history import Line
from sinkside.bench.run import Run
from sinkside.desk.access import Visitor
from sinkside.desk.bench.copies import copy_in, subject_of
from sinkside.desk.bench.plans import plan_in
from sinkside.desk.history import loads
from sinkside.desk.history.concerning import concerning
from sinkside.desk.history.gathered import BESIDE, Gathered, Page, next_page, own_entries
from sinkside.desk.history.telling import act_of, beside, is_done, lines_of
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


def of_set(unit: Unit, who: Visitor, copy: str, page: Page) -> Gathered:
    """One page of a set's history, or of a marked instrument's.

    Raises:
        NotThere: if there is none here.
    """
    known = copy_in(unit, who, copy)
    own = own_entries(unit, who, subject_of(copy), page)
    its_loads = _loads_of(unit, own, copy)
    of_loads = loads.load_entries(unit, who, its_loads)
    others = _others(unit, who, own) + _of_list(unit, who, known, own, page)
    every = {one.sequence: one for one in (*own, *of_loads, *others)}
    runs = _runs_of(unit, own)
    gaps = [line for run in runs for line in _gaps_of_run(unit, run)]
    gaps += [line for load in its_loads for line in loads.gaps_of(unit, who, load, page)]
    return Gathered(
        title=f"{known.name}, {known.code}",
        about=f"{'A marked instrument' if known.kind == 'instrument' else 'A set'}; now: {known.place}",
        gaps=tuple(gaps),
        lines=tuple(lines_of(unit, every.values(), of=subject_of(copy))),
        before=next_page(own),
    )


def _loads_of(unit: Unit, own: Sequence[Event], copy: str) -> list[KeptLoad]:
    """The loads into which a page's acts put a set, and in which it stayed."""
    inside: dict[str, None] = {}
    for event in sorted(filter(is_done, own), key=lambda one: one.sequence):
        name = act_of(event).get("act")
        named = [one.partition(":")[2] for one in beside(event) if one.startswith(f"{_LOADED}:")]
        if name in _INTO:
            inside.update(dict.fromkeys(named))
        elif name == _OUT_OF:
            for load in named:
                inside.pop(load, None)
    found = (unit.bench.loads.get(load) for load in inside)
    return [one for one in found if one is not None and _stayed(unit, one, copy)]


def _stayed(unit: Unit, load: KeptLoad, copy: str) -> bool:
    """Whether it was not taken out again on a page above."""
    return any(one.copy == copy and one.out is None for one in unit.bench.loads.in_load(load.id))


def _others(unit: Unit, who: Visitor, own: Sequence[Event]) -> list[Event]:
    """Entries of what belongs to acts of this page alone: forms for exceptions, alarms to theatre."""
    named = [one for event in own for one in beside(event)]
    subjects = [one for one in named if one.partition(":")[0] in _OF_THE_SET]
    if not subjects:
        return []
    return unit.journal.events(who.department, Wanted(subjects=tuple(subjects), limit=BESIDE))


def _of_list(unit: Unit, who: Visitor, copy: KeptCopy, own: Sequence[Event], page: Page) -> list[Event]:
    """Changes of its list, recalls, loans: what does not belong to one act goes by the time of the page."""
    subjects = [*concerning(unit, who.department, copy.id)]
    if copy.kind == "set":
        subjects.append(f"set:{copy.of}")
    if not subjects or not own:
        return []
    wanted = Wanted(subjects=tuple(subjects), after=own[-1].sequence - 1, before=page.sequence, limit=BESIDE)
    return unit.journal.events(who.department, wanted)


def _runs_of(unit: Unit, own: Sequence[Event]) -> list[KeptRun]:
    ids = dict.fromkeys(str(one.data["run"]) for one in own if is_done(one) and one.data.get("run"))
    found = (unit.bench.runs.get(run) for run in list(ids)[:_MOST_RUNS])
    return [one for one in found if one is not None]


def _gaps_of_run(unit: Unit, kept: KeptRun) -> tuple[Line, ...]:
    run = Run.model_validate_json(kept.body)
    return run_gaps(plan_in(unit, run.plan), run, opened=kept.opened)
