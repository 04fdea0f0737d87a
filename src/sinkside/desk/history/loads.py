"""The history of a load: what went in, begin and end, record, indicators, decision, what was found."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.bench.history import Line
from sinkside.desk.access import Visitor
from sinkside.desk.bench.copies import subject_of as copy_subject
from sinkside.desk.bench.load_deciding import load_here
from sinkside.desk.bench.loads import subject_of
from sinkside.desk.concerning import concerning
from sinkside.desk.cycle_records import cycle_row, opened_cycle
from sinkside.desk.cycle_records import subject_of as cycle_subject
from sinkside.desk.evidence.gaps_of_load import gaps_of_load
from sinkside.desk.history.gathered import BESIDE, Gathered, Page
from sinkside.desk.history.telling import act_of, beside, is_done, lines_of
from sinkside.desk.indicators_before_release import before_release
from sinkside.desk.ports import Unit
from sinkside.journal import Event
from sinkside.records import KeptLoad, Wanted


def of_load(unit: Unit, who: Visitor, load: str, page: Page) -> Gathered:
    """Everything of a load on one page: a load is over within a day or two.

    Raises:
        NotThere: if there is none here.
    """
    known = load_here(unit, who, load)
    own = load_entries(unit, who, [known])
    into = put_in(unit, who, known, own)
    name = str(known.fields.get("machine_name") or known.machine)
    return Gathered(
        title=f"Load of {name}",
        about=f"{known.program}, {_pieces(known)}",
        gaps=gaps_of(unit, who, known, page) if page.is_first else (),
        lines=tuple(lines_of(unit, who, [*own, *into], of=subject_of(load))),
        before="",
    )


def load_entries(unit: Unit, who: Visitor, loads: Sequence[KeptLoad]) -> list[Event]:
    """Every entry that concerns some loads or their records."""
    subjects = [subject_of(one.id) for one in loads]
    subjects += [cycle_subject(one.cycle) for one in loads if one.cycle]
    subjects += [name for one in loads for name in concerning(unit, who.department, one.id)]
    if not subjects:
        return []
    return unit.journal.events(who.department, Wanted(subjects=subjects, limit=BESIDE))


def put_in(unit: Unit, who: Visitor, load: KeptLoad, own: Sequence[Event]) -> list[Event]:
    """What was put into a load and taken out of it: entries between its begin and its start."""
    copies = {copy_subject(one.copy) for one in unit.bench.loads.in_load(load.id)}
    if not copies:
        return []
    turns = {str(act_of(one).get("act")): one.sequence for one in own if is_done(one)}
    first = turns.get("open-load") or unit.journal.first_since(who.department, load.opened)
    wanted = Wanted(
        kinds=("tapped",),
        subjects=tuple(sorted(copies)),
        after=first - 1,
        before=turns.get("start-load"),
        limit=BESIDE,
    )
    found = unit.journal.events(who.department, wanted)
    return [one for one in found if subject_of(load.id) in beside(one)]


def gaps_of(unit: Unit, who: Visitor, load: KeptLoad, page: Page) -> tuple[Line, ...]:
    """What is not recorded of a load."""
    opened = opened_cycle(unit, cycle_row(unit, who, load.cycle)) if load.cycle else None
    needed = before_release(unit, who, opened, now=page.now) if opened else ()
    return gaps_of_load(load, opened, needed)


def _pieces(load: KeptLoad) -> str:
    number = int(load.fields.get("pieces") or 0)
    return f"{number} piece{'' if number == 1 else 's'}"
