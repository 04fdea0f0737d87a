"""Answers of the fit table as they are kept, so that only what changed is resolved again.

An answer is known by the revisions that it holds against each other. It stands as long as both do, and also
where the department changed in nothing that the instruction looks at.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from datetime import datetime
from typing import Final, Literal

from pydantic import AwareDatetime, Field

from sinkside import __version__
from sinkside.department import Department
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit
from sinkside.desk.remembered import Remembered
from sinkside.documents import Value, to_json
from sinkside.errors import BadInput
from sinkside.instruction import Instruction
from sinkside.records import Revision, Row
from sinkside.route import Change, Fit, FitColumn, FitRow, FitWord, fit, least_changes

KIND: Final = "fit"

#: The digests of an instruction and of a department; the texts themselves are let go of.
Pair = tuple[str, str]

#: Texts of answers and departments that stay taken apart in one process, and answers that it remembers.
_KEPT_TEXTS: Final = 60
_KEPT_COLUMNS: Final = 4
_KEPT_ROWS: Final = 100
_KEPT_FITS: Final = 20_000
_KEPT_LEAST: Final = 2_000

_FITS: Final = Remembered[Pair, Fit](most=_KEPT_FITS)
_LEAST: Final = Remembered[Pair, tuple[Change, ...]](most=_KEPT_LEAST)


class EarlierAnswer(Value):
    """What was answered before, when, and of which revisions of instruction and department."""

    word: FitWord
    missing: tuple[str, ...] = ()
    concerns: int = 0
    at: AwareDatetime
    instruction: int
    department: int


class Answer(Value):
    """One answer: of which revisions, when, what would turn it if that was asked, what was said before."""

    fit: Fit
    instruction: int
    instruction_digest: str
    department: int
    department_digest: str
    at: AwareDatetime
    least: tuple[Change, ...] | None = None
    before: EarlierAnswer | None = None

    @property
    def as_earlier(self) -> EarlierAnswer:
        """This answer as one of the past."""
        return EarlierAnswer(
            word=self.fit.word,
            missing=self.fit.missing,
            concerns=self.fit.concerns,
            at=self.at,
            instruction=self.instruction,
            department=self.department,
        )


class Answers(Value):
    """The answers of one department for one shelf of instructions; other versions may answer otherwise."""

    format: Literal["sinkside/fit-answers-1"] = "sinkside/fit-answers-1"
    version: str
    answers: dict[str, Answer] = Field(default={})


def kept_answers(unit: Unit, shelf: str, department: str) -> Mapping[str, Answer]:
    """What is kept of a department for a shelf, by instruction; nothing of another version."""
    row = unit.rows.get(KIND, _row_id(shelf, department))
    if row is None or row.state != __version__:
        return {}
    return _read(str(row.fields["answers"])).answers


@functools.lru_cache(maxsize=_KEPT_TEXTS)
def _read(text: str) -> Answers:
    return Answers.model_validate_json(text)


def keep_answers(
    unit: Unit, shelf: str, department: str, fresh: Mapping[str, Answer], *, now: datetime
) -> None:
    """Keep answers beside those that are there; what they said before stays known."""
    known = kept_answers(unit, shelf, department)
    merged = dict(known)
    for instruction, answer in fresh.items():
        before = known.get(instruction)
        merged[instruction] = answer if before is None else _after(before, answer)
    text = to_json(Answers(version=__version__, answers=merged), compact=True)
    row = Row(KIND, _row_id(shelf, department), shelf, __version__, "", now, fields={"answers": text})
    unit.rows.put(row)


def _after(before: Answer, answer: Answer) -> Answer:
    """An answer that takes the place of another; only one that says something else makes it a past one."""
    if (before.fit.word, before.fit.missing) != (answer.fit.word, answer.fit.missing):
        return answer.model_copy(update={"before": before.as_earlier})
    least = answer.least
    if least is None and before.fit.key == answer.fit.key:
        least = before.least
    return answer.model_copy(update={"before": before.before, "least": least})


def _row_id(shelf: str, department: str) -> str:
    return f"{shelf}/{department}"


def still_stands(answer: Answer, instruction: int, department: Revision) -> bool:
    """Whether an answer is also one for a revision of the instruction and a revision of the department."""
    if answer.instruction != instruction:
        return False
    if answer.department_digest == department.digest:
        return True
    return answer.fit.key == column_of(department).key_of(answer.instruction_digest, answer.fit.looks_at)


def answered(instruction: Revision, department: Revision, *, now: datetime, least: bool = False) -> Answer:
    """An answer worked out now; what was worked out in this process before is remembered."""
    return Answer(
        fit=_fit(instruction, department),
        instruction=instruction.number,
        instruction_digest=instruction.digest,
        department=department.number,
        department_digest=department.digest,
        at=now,
        least=least_of(instruction, department) if least else None,
    )


@functools.lru_cache(maxsize=_KEPT_COLUMNS)
def column_of(department: Revision) -> FitColumn:
    """A kept department as a column."""
    return FitColumn(from_revision(department, Department))


@functools.lru_cache(maxsize=_KEPT_ROWS)
def row_of(instruction: Revision) -> FitRow:
    """A kept instruction as a row."""
    return FitRow(from_revision(instruction, Instruction))


def _fit(instruction: Revision, department: Revision) -> Fit:
    key = (instruction.digest, department.digest)
    return _FITS.get(key, lambda: fit(row_of(instruction), column_of(department)))


def least_of(instruction: Revision, department: Revision) -> tuple[Change, ...]:
    """The changes that together give an instruction its route in a department; none if it has one."""
    key = (instruction.digest, department.digest)
    return _LEAST.get(key, lambda: least_changes(row_of(instruction), column_of(department)))


def revision_of(unit: Unit, kind: str, subject: str, number: int | None = None) -> Revision:
    """A revision that must be there.

    Raises:
        BadInput: if it is not.
    """
    found = unit.documents.get(kind, subject, number)
    if found is None:
        raise BadInput("this revision is not there", resource=f"{kind}:{subject}")
    return found
