"""Recording a check: what was seen, by whom, whether it passed; a failed one takes the machine out of use."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.cycles import Verdict
from sinkside.desk import cycle_records
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.machine_documents import Answered, Cause, MachineCheck
from sinkside.desk.machine_policy import Asked, Needed
from sinkside.desk.machine_rows import (
    CHECK,
    TESTS,
    MachineCycle,
    last_check,
    machine_row,
    note_check,
    subject_of,
)
from sinkside.desk.machine_standing import loads_since, needed_of, taken_out
from sinkside.desk.machine_things import Thing, thing_in
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.uploads import new_id
from sinkside.errors import BadInput, NotThere
from sinkside.language import measure
from sinkside.quantities import convert
from sinkside.records import Row, WantedRows

_YES_NO: Final = ("yes", "no")
_LONGEST: Final = 2000
_LONGEST_SAID: Final = 300
_BELOW_ZERO: Final = frozenset({"°C", "°F"})


@dataclass(frozen=True)
class CheckKept:
    """A check as it was kept, whether it took the thing out of use, and what ran since the last good one."""

    check: MachineCheck
    out_of_use: bool
    loads: tuple[MachineCycle, ...]


def record_check(
    archive: Archive,
    who: Visitor,
    thing: str,
    check: str,
    answers: Sequence[str],
    *,
    now: datetime,
    note: str = "",
    cycle: str = "",
) -> CheckKept:
    """Record a check of a thing.

    Args:
        archive: where it is kept.
        who: who did it.
        thing: which machine, room, water point or tool.
        check: which check.
        answers: what was seen, in the order of the check's questions; empty where a record says it.
        now: when.
        note: anything else.
        cycle: the judged record behind it.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such thing or cycle here.
        BadInput: if the thing needs no such check, an answer is missing or none, or the record will not do.
    """
    require(who, "machine-check")
    if len(note) > _LONGEST:
        raise BadInput(f"the note has {len(note)} characters; at most {_LONGEST}", resource="note")
    with archive.unit() as unit:
        found = thing_in(unit, who, thing)
        needed = _needed(unit, who, found, check)
        verdict = _record_behind(unit, who, found, needed, cycle)
        answered = _answered(needed.asked, answers, verdict)
        done = MachineCheck(
            thing=found.id,
            thing_name=found.name,
            check=check,
            check_name=needed.check.name,
            answers=answered,
            passed=all(one.met is not False for one in answered)
            and (verdict is None or verdict.verdict == "meets"),
            cycle=cycle,
            note=note.strip(),
            by=who.person,
            at=now,
        )
        return _keep(unit, who, found, needed, done, now=now)


def open_check(unit: Unit, who: Visitor, check_id: str) -> MachineCheck:
    """A check as it was recorded.

    Raises:
        NotThere: if there is none here.
    """
    row = unit.rows.get(CHECK, check_id)
    kept = read_kept(unit, CHECK, check_id, MachineCheck)
    if row is None or kept is None or row.department != who.department:
        raise NotThere("there is no such check here", resource=check_id)
    return kept


def _needed(unit: Unit, who: Visitor, thing: Thing, check: str) -> Needed:
    for needed in needed_of(unit, who, thing):
        if needed.id == check and needed.check.record != "indicator":
            return needed
    raise BadInput(f"'{thing.name}' needs no such check", resource="check")


def _record_behind(unit: Unit, who: Visitor, thing: Thing, needed: Needed, cycle: str) -> Verdict | None:
    """The verdict on the record behind a check; none where none is named.

    Raises:
        BadInput: if one must be named, or this one will not do.
    """
    if not cycle:
        if needed.check.record == "must":
            raise BadInput("expected the judged record of this cycle", resource="cycle")
        return None
    known = cycle_records.opened_cycle(unit, cycle_records.cycle_row(unit, who, cycle))
    if thing.machine is None or known.record.machine != thing.machine.id:
        raise BadInput("this record is of another machine", resource="cycle")
    kind = known.record.program.kind.value
    is_of_kind = kind not in TESTS if needed.check.record == "must" else kind in needed.check.programs
    if not is_of_kind:
        raise BadInput(f"a record of kind '{kind}' shows nothing of this check", resource="cycle")
    verdict = known.judged.verdict if known.judged else None
    if verdict is None or verdict.verdict == "unclear":
        raise BadInput("this record has no clear verdict; run the test again", resource="cycle")
    before = WantedRows(states=[thing.id], fields={"check": needed.id, "cycle": cycle}, limit=1)
    if unit.rows.found(CHECK, [who.department], before):
        raise BadInput("this record stands behind an earlier check already", resource="cycle")
    return verdict


def _answered(
    asked: Sequence[Asked], answers: Sequence[str], verdict: Verdict | None
) -> tuple[Answered, ...]:
    if len(answers) > len(asked):
        raise BadInput(f"expected {len(asked)} answers, in the order of the questions", resource="answers")
    given = [*answers, *[""] * (len(asked) - len(answers))]
    return tuple(
        _answer(one, said.strip(), verdict, field=f"answer_{place}")
        for place, (one, said) in enumerate(zip(asked, given, strict=True), 1)
    )


def _answer(asked: Asked, said: str, verdict: Verdict | None, *, field: str) -> Answered:
    question = asked.question
    told = Answered(question=question.id, words=question.words, answer=said, unit=question.unit)
    if question.kind == "number":
        return _number(asked, said, verdict, field=field)
    if not said:
        if question.required:
            raise BadInput(f"expected an answer: {question.words}", resource=field)
        return told
    expected = _YES_NO if question.kind == "yes-no" else question.choices
    if said not in expected:
        raise BadInput(
            f"'{said[:_LONGEST_SAID]}' is no answer; expected {' or '.join(expected)}", resource=field
        )
    if question.kind == "choice":
        return told
    return told.model_copy(update={"expected": "yes", "met": said == "yes"})


def _number(asked: Asked, said: str, verdict: Verdict | None, *, field: str) -> Answered:
    question, bound = asked.question, asked.bound
    recorded = verdict.values.get(question.from_record) if verdict and question.from_record else None
    if not said and recorded is not None:
        value = convert(recorded.value, recorded.unit, question.unit)
    elif said or question.required:
        value = read_number(said, question.unit, field=field)
    else:
        return Answered(question=question.id, words=question.words, answer="", unit=question.unit)
    return Answered(
        question=question.id,
        words=question.words,
        answer=f"{value:g}",
        value=value,
        unit=question.unit,
        expected=bound.text if bound else "",
        source=bound.source if bound else "",
        met=bound.met_by(value) if bound else None,
    )


def read_number(said: str, unit: str, *, field: str) -> float:
    """A number as people write it, with a point or a comma; only temperatures go below zero.

    Raises:
        BadInput: if it is none.

    >>> read_number("1,3", "mbar/min", field="answer_1")
    1.3
    >>> read_number("-5", "mbar/min", field="answer_1")
    Traceback (most recent call last):
    ...
    sinkside.errors.BadInput: answer_1: '-5' is below zero; expected zero or more
    """
    try:
        value = float(said.replace(",", ".") if said.count(",") == 1 and "." not in said else said)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        example = measure(1.5, unit) if unit else "1.5"
        raise BadInput(
            f"'{said[:_LONGEST_SAID]}' is no number; expected one such as {example}", resource=field
        )
    if value < 0.0 and unit not in _BELOW_ZERO:
        raise BadInput(f"'{said[:_LONGEST_SAID]}' is below zero; expected zero or more", resource=field)
    return value


def _keep(
    unit: Unit, who: Visitor, thing: Thing, needed: Needed, done: MachineCheck, *, now: datetime
) -> CheckKept:
    check_id = new_id("k")
    kept = keep_next(unit, CHECK, check_id, done, by=who.person, now=now)
    data = {"check": done.check, "passed": done.passed, "cycle": done.cycle, "digest": kept.digest}
    record(unit, who, "check-recorded", subject_of(thing.id), now=now, data=data)
    fields: dict[str, str | int | float | bool | None] = {
        "check": done.check,
        "passed": done.passed,
        "said": said_in_short(done),
        "cycle": done.cycle,
        "by": who.person,
        "note": done.note,
        **{f"value {one.question}": one.value for one in done.answers if one.value is not None},
    }
    unit.rows.put(Row(CHECK, check_id, who.department, thing.id, done.check_name, now, fields=fields))
    row = machine_row(unit, who.department, thing.id, name=thing.name, now=now)
    since = last_check(row, done.check).good
    note_check(unit, row, done.check, passed=done.passed, now=now)
    if done.passed:
        return CheckKept(done, out_of_use=False, loads=())
    loads = loads_since(unit, who.department, thing.machines, since) if needed.check.loads else ()
    if needed.check.failed != "out-of-use":
        return CheckKept(done, out_of_use=False, loads=loads)
    cause = Cause(
        why="failed-check",
        words=f"{done.check_name}: {said_in_short(done)}",
        check=done.check,
        evidence=check_id,
        since=since,
        loads=tuple(load.id for load in loads),
        by=who.person,
        at=now,
    )
    taken_out(unit, who, thing, cause, now=now)
    return CheckKept(done, out_of_use=True, loads=loads)


def said_in_short(done: MachineCheck) -> str:
    r"""What was seen, in a line: the figures, and what was not as it should be.

    >>> from datetime import UTC
    >>> rate = Answered(question="rate", words="Rise", answer="2", value=2.0, unit="mbar/min",
    ...     expected="≤ 1.3", met=False)
    >>> done = MachineCheck(thing="s", thing_name="S", check="leak-rate", check_name="Leak", passed=False,
    ...     answers=(rate,), by="p", at=datetime(2026, 3, 1, tzinfo=UTC))
    >>> said_in_short(done)
    '2\xa0mbar/min, expected ≤ 1.3'
    """
    parts = []
    for one in done.answers:
        if one.value is not None:
            missed = f", expected {one.expected}" if one.met is False else ""
            parts.append(measure(one.value, one.unit) + missed)
        elif one.met is False:
            parts.append(f"{one.words} {one.answer.capitalize()}.")
        elif one.answer and one.met is None:
            parts.append(one.answer)
    if not parts:
        parts.append("as it should be" if done.passed else "the record does not meet its program")
    return "; ".join(parts)
