"""Cleaning that begins late: by how much, for which device, and what its text says or the maker is asked."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from datetime import datetime
from typing import Final

from sinkside.bench.acts import Arrive, TakeUp
from sinkside.bench.noticing import LATE
from sinkside.bench.plan import Plan
from sinkside.bench.run import IN_USE, Deviation, Place, Run
from sinkside.bench.soil import Delay, SoilClock, delay_of, measures_of, question_to_maker, soil_clock, span
from sinkside.desk.access import require
from sinkside.desk.bench.doing import Doing, Handler, Said
from sinkside.desk.bench.on_runs import WORK, on_run
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, open_run, run_by_id, run_of
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.shelf import KIND as INSTRUCTION
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, SinksideError
from sinkside.instruction import Instruction, PartUse
from sinkside.records import Row

#: The list of questions to makers about devices whose cleaning began late.
QUESTION: Final = "late-question"

_LONGEST: Final = 500


def clock_of(unit: Unit, plan: Plan, used: datetime) -> SoilClock:
    """The soil clock that the texts behind a plan set for a set that was last used at a moment."""
    return soil_clock(used, [delay_of(text, device=member) for member, text in _texts(unit, plan).items()])


def thrown_away(unit: Unit, plan: Plan) -> dict[str, str]:
    """The parts of a set that are thrown away after use: what each is called, by member and part in order."""
    return {
        f"{turn}-{number}": f"{part.name} of {member}"
        for turn, (member, text) in enumerate(_texts(unit, plan).items(), start=1)
        for number, part in enumerate(text.device.parts, start=1)
        if part.use is PartUse.discard_after_use
    }


def noted(
    run: Run, what: str, reason: str, doing: Doing, *, fault: str, task: str = "", line: str = ""
) -> Run:
    """A run with one more thing that was not as written; the same is kept once, however often it is told."""
    if any(one.what == what[:_LONGEST] for one in run.deviations):
        return run
    one = Deviation(
        id=str(len(run.deviations) + 1),
        task=task,
        what=what[:_LONGEST],
        reason=reason[:_LONGEST],
        at=doing.at,
        by=doing.who.person,
        fault=fault,
        line=line,
    )
    return run.model_copy(update={"deviations": (*run.deviations, one)})


def arrive(doing: Doing, act: Arrive) -> Said:
    """A used set comes to the soiled side; its texts' own times rule where its use is told, else now.

    Raises:
        NotThere: if none here has the code.
        BadInput: if it is in the department already.
    """
    require(doing.who, WORK)
    copy = copy_of_code(doing.unit, doing.who.department, act.code)
    if copy.state == Place.soiled:
        return _reported(doing, run_of(doing.unit, copy))
    if copy.state not in {IN_USE, Place.issued.value}:
        raise BadInput(f"{copy.name} is in the department already: {copy.place}", resource="code")
    used = min(act.last_used, doing.at) if act.last_used else None
    opened = open_run(doing.unit, doing.who, copy, at=doing.at, now=doing.now, last_used=used)
    begin_by = doing.at
    if used:
        begin_by = clock_of(doing.unit, opened.plan, used).begin_by
        run = opened.run.model_copy(update={"clean_by": begin_by})
        opened = keep_run(doing.unit, opened, run, now=doing.now)
    return Said(f"{copy.name} arrived; {_asked(begin_by, doing.at)}.", opened.copy.id, opened.copy.state)


def _reported(doing: Doing, opened: OpenRun) -> Said:
    """A set that theatre reported as used is here now."""
    copy = keep_run(doing.unit, opened, opened.run, now=doing.now, at=doing.at).copy
    begin_by = opened.run.clean_by or doing.at
    return Said(f"{copy.name} arrived; {_asked(begin_by, doing.at)}.", copy.id, copy.state)


def take_up(doing: Doing, act: TakeUp) -> Said:
    """Take a set up at the sink; where that is late, keep by how much and what is to be done about it."""
    before = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    said = on_run(doing, act)
    begins = before.run.place is Place.soiled and before.run.round == 1
    if not begins or before.run.last_used is None:
        return said
    late = _late_members(doing.unit, before, doing.at)
    if not late:
        return said
    opened = run_by_id(doing.unit, before.run.id)
    run, told = opened.run, []
    for delay, late_s, text in late:
        sentence, measure = _what_to_do(doing, opened, delay, late_s, text)
        what = f"{LATE}: {delay.device}, {span(late_s)} late"
        run = noted(run, what, measure, doing, fault="late-cleaning")
        told.append(sentence)
    kept = keep_run(doing.unit, opened, run, now=doing.now)
    return dataclasses.replace(said, words=f"{said.words} {' '.join(told)}", state=kept.copy.state)


def _late_members(unit: Unit, opened: OpenRun, at: datetime) -> list[tuple[Delay, float, Instruction]]:
    """Members whose own stated time has passed, the latest first; where none is stated, none can pass."""
    used = opened.run.last_used
    if used is None:
        return []
    found = []
    for member, text in _texts(unit, opened.plan).items():
        delay = delay_of(text, device=member)
        late_s = soil_clock(used, [delay]).late_s(at)
        if delay.within_s is not None and late_s > 0:
            found.append((delay, late_s, text))
    return sorted(found, key=lambda one: -one[1])


def _what_to_do(
    doing: Doing, opened: OpenRun, delay: Delay, late_s: float, text: Instruction
) -> tuple[str, str]:
    """What is said, and what is kept: the text's own measure, else a question to the maker."""
    late = f"{delay.device} is {span(late_s)} late ({delay.as_written})"
    measures = measures_of(text, device=delay.device)
    if measures:
        words = " ".join(f"“{one.words}” (page {one.where.page})" for one in measures)
        return f"{late}; its text says: {words}", f"its text says: {words}"
    question = question_to_maker(delay, late_s)
    _ask(doing, opened, delay, question)
    return (
        f"{late}; its text says nothing of that, so the maker is asked. Clean it now.",
        f"asked the maker: {question}",
    )


def _ask(doing: Doing, opened: OpenRun, delay: Delay, question: str) -> None:
    behind = next(one for one in opened.plan.texts if one.member == delay.device)
    waiting = doing.unit.rows.all(QUESTION, [doing.who.department], states=["open"])
    if any(row.fields["instruction"] == behind.instruction for row in waiting):
        return  # the maker is asked once, however many sets come late
    doing.unit.rows.put(
        Row(
            kind=QUESTION,
            id=new_id("lq"),
            department=doing.who.department,
            state="open",
            title=delay.device,
            updated=doing.now,
            fields={
                "question": question,
                "instruction": behind.instruction,
                "revision": behind.revision,
                "copy": opened.copy.id,
                "copy_name": opened.copy.name,
                "run": opened.run.id,
            },
        )
    )


def _texts(unit: Unit, plan: Plan) -> dict[str, Instruction]:
    """The text of every member, in the revision that the plan follows."""
    found = {}
    for one in plan.texts:
        revision = unit.documents.get(INSTRUCTION, one.instruction, one.revision)
        if revision is None:
            raise SinksideError("a text that this run follows is gone", resource=one.instruction)
        found[one.member] = from_revision(revision, Instruction)
    return found


def _asked(begin_by: datetime, at: datetime) -> str:
    if begin_by < at:
        return f"it is {span((at - begin_by).total_seconds())} late: clean it at once"
    if begin_by == at:
        return "clean it at once"
    return f"cleaning begins within {span((begin_by - at).total_seconds())}"


HANDLERS: Final[Mapping[str, Handler]] = {"arrive": arrive, "take-up": take_up}
