"""What somebody is likely to remember: kept answer by answer, looked at by nobody but themselves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

from sinkside.desk import question_bank, sets, shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.keeping import from_revision
from sinkside.desk.memory_policy import policy
from sinkside.desk.ports import Archive, Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.set_documents import SetLook
from sinkside.desk.set_texts import approved_of, device_name, folded, look_in, titles_of
from sinkside.errors import NotForTheFloor
from sinkside.instruction import Instruction
from sinkside.records import Answer, KeptMemory, Row
from sinkside.teach.memory import (
    Candidate,
    Memory,
    Rarity,
    Risk,
    answered,
    in_turn,
    likely_known,
    shuffled,
    todays,
)
from sinkside.teach.question import Question

LEARN: Final = "learn"

#: What My learning is called among the matters of a day.
LEARNING: Final = "learning"

#: More is never looked at to choose three: what is due longest comes first.
_MOST_DUE: Final = 200
_MOST_ROWS: Final = 5_000
_MOST_OWN: Final = 5_000

#: New questions of a day come from so many devices at most, which the day picks: reading a text takes time.
_DEVICES_A_DAY: Final = 30

#: By instruction and approved revision, which never changes.
_RISKS: Final = Remembered[tuple[str, int], Risk](most=5_000)

#: By department, person, day and how many answers of that day there are.
_LEFT: Final = Remembered[tuple[str, str, str, int], int](most=10_000)


@dataclass(frozen=True)
class AskedNow:
    """A question that is asked today: of which device and revision, and whether it is new."""

    instruction: str
    device: str
    revision: int
    question: Question
    is_new: bool


@dataclass(frozen=True)
class Day:
    """Somebody's questions of a day: those left, most urgent first, and how many are answered."""

    left: tuple[AskedNow, ...]
    answered: int


@dataclass(frozen=True)
class OwnMemory:
    """What somebody has of a question: of which device, the chance of knowing it now, when it comes again."""

    instruction: str
    device: str
    question: Question
    memory: Memory
    likely: float

    def is_due(self, now: datetime) -> bool:
        """Whether it is to be asked again."""
        return self.memory.due <= now


def day_of(who: Visitor, now: datetime) -> str:
    """The day in the department, by which questions are counted; also what answers of a day belong to."""
    return now.astimezone(ZoneInfo(who.zone)).date().isoformat()


def today_for(archive: Archive, who: Visitor, *, now: datetime) -> Day:
    """The questions that are left to somebody today.

    Raises:
        NotAllowed: without the right.
    """
    require(who, LEARN)
    with archive.unit(writes=False) as unit:
        return today_in(unit, who, now=now)


def today_in(unit: Unit, who: Visitor, *, now: datetime) -> Day:
    """The same within a transaction."""
    known = policy()
    done = answered_today(unit, who, now)
    if len(done) >= known.most_a_day:
        return Day((), len(done))
    here = _Here(unit, who)
    passed = {(one.instruction, one.question) for one in done}
    due = [
        Candidate(one.question, one.instruction, here.weight(one.instruction), _likely(one, now))
        for one in unit.memories.of_person(who.department, who.person, due_by=now, most=_MOST_DUE)
        if (one.instruction, one.question) not in passed and one.question in here.bank(one.instruction)
    ]
    seed = f"{who.person} {day_of(who, now)}"
    new = here.new_ones(seed) if len(done) + len(due) < known.new_up_to else ()
    chosen = todays(due, new, known, asked=len(done), seed=seed)
    fresh = set(new)
    return Day(tuple(here.asked(one, is_new=one in fresh) for one in chosen), len(done))


def number_left(unit: Unit, who: Visitor, *, now: datetime) -> int:
    """How many questions are left to somebody today; nothing for who does not learn here.

    Everybody's first page asks it: what is left is worked out once for each answer of the day.
    """
    if not who.may(LEARN):
        return 0
    done = len(answered_today(unit, who, now))
    if done >= policy().most_a_day:
        return 0
    key = who.department, who.person, day_of(who, now), done
    return _LEFT.get(key, lambda: len(today_in(unit, who, now=now).left))


def bank_in_force(unit: Unit, who: Visitor, instruction: str) -> tuple[Question, ...]:
    """The questions in force of a device; none while it has none for the floor.

    Raises:
        NotThere: if there is no such instruction here.
    """
    try:
        return question_bank.bank_of(unit, who, instruction)
    except NotForTheFloor:
        return ()


def answered_today(unit: Unit, who: Visitor, now: datetime) -> list[Answer]:
    """What somebody answered here since the department's midnight, oldest first."""
    local = now.astimezone(ZoneInfo(who.zone))
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0)
    return unit.answers.of_person(who.department, who.person, since=midnight)


def remember(unit: Unit, who: Visitor, answer: Answer) -> Memory:
    """Keep what an answer changes in somebody's memory, and say what it is now."""
    known = unit.memories.get(who.department, who.person, answer.instruction, answer.question)
    before = Memory.of_fields(known.due, known.fields) if known else None
    risk, rarity = _Here(unit, who).kind_of(answer.instruction)
    spacing = policy().spacing(risk, rarity)
    memory = answered(before, spacing, right=answer.is_right, now=answer.at)
    kept = KeptMemory(
        who.department, who.person, answer.question, answer.instruction, memory.due, memory.fields()
    )
    unit.memories.put(kept)
    return memory


def own_memories(archive: Archive, who: Visitor, *, now: datetime) -> tuple[OwnMemory, ...]:
    """What somebody has of every question that was ever asked of them here, what comes first at the head.

    Raises:
        NotAllowed: without the right.
    """
    require(who, LEARN)
    with archive.unit(writes=False) as unit:
        here = _Here(unit, who)
        kept = unit.memories.of_person(who.department, who.person, most=_MOST_OWN)
        return tuple(here.own(kept, now))


class _Here:
    """The devices of a department as memory sees them; each text and its questions are looked up once."""

    def __init__(self, unit: Unit, who: Visitor) -> None:
        self._unit, self._who = unit, who
        self._banks: dict[str, Mapping[str, Question]] = {}
        self._rows: dict[str, Row | None] = {}
        self._in_sets: Counter[str] | None = None

    def bank(self, instruction: str) -> Mapping[str, Question]:
        """The questions in force of a device, by id; none where it is not approved here."""
        if instruction not in self._banks:
            found = bank_in_force(self._unit, self._who, instruction) if self._row(instruction) else ()
            self._banks[instruction] = {one.id: one for one in found}
        return self._banks[instruction]

    def kind_of(self, instruction: str) -> tuple[Risk, Rarity]:
        """How grave a mistake with a device can be, and how often it is on the bench."""
        row = self._row(instruction)
        if row is None:
            return Risk.usual, Rarity.usual
        risk = _RISKS.get((row.id, approved_of(row)), lambda: self._risk(row))
        return risk, policy().rarity_of(self._sets_with(row))

    def _risk(self, row: Row) -> Risk:
        kept = self._unit.documents.get(shelf.KIND, row.id, approved_of(row))
        return policy().risk_of(from_revision(kept, Instruction)) if kept else Risk.usual

    def weight(self, instruction: str) -> float:
        """How much a forgotten answer about a device weighs."""
        return policy().weight(*self.kind_of(instruction))

    def new_ones(self, seed: str) -> tuple[Candidate, ...]:
        """Questions that were never asked of the person, of the one device whose turn it is."""
        kept = self._unit.memories.of_person(self._who.department, self._who.person, most=_MOST_OWN)
        asked = {(one.instruction, one.question) for one in kept}
        known = Counter(one.instruction for one in kept)
        weights = {one: self.weight(one) for one in self._devices_of_the_day(seed)}
        for instruction in in_turn(weights, known, seed):
            new = [one for one in self.bank(instruction) if (instruction, one) not in asked]
            if new:
                return tuple(Candidate(one, instruction, weights[instruction]) for one in new)
        return ()

    def _devices_of_the_day(self, seed: str) -> list[str]:
        """The approved devices whose lesson the person went through; all of them where it was none yet."""
        rows = self._unit.rows.all(shelf.KIND, [self._who.department], limit=_MOST_ROWS)
        approved = {row.id: row for row in rows if approved_of(row)}
        self._rows |= approved
        gone_through = self._unit.learning.of_person(self._who.department, self._who.person)
        learnt = {one.instruction for one in gone_through} & approved.keys()
        devices = sorted(learnt or approved)
        return [devices[number] for number in shuffled(range(len(devices)), seed)[:_DEVICES_A_DAY]]

    def asked(self, chosen: Candidate, *, is_new: bool) -> AskedNow:
        """A chosen question with what a page shows of it."""
        row = self._row(chosen.instruction)
        title, revision = (device_name(row), approved_of(row)) if row else ("", 0)
        question = self.bank(chosen.instruction)[chosen.question]
        return AskedNow(chosen.instruction, title, revision, question, is_new)

    def own(self, kept: list[KeptMemory], now: datetime) -> Iterator[OwnMemory]:
        """The memories whose questions are still in force."""
        for one in kept:
            row, question = self._row(one.instruction), self.bank(one.instruction).get(one.question)
            if row and question:
                memory = Memory.of_fields(one.due, one.fields)
                yield OwnMemory(row.id, device_name(row), question, memory, likely_known(memory, now))

    def _row(self, instruction: str) -> Row | None:
        if instruction not in self._rows:
            row = self._unit.rows.get(shelf.KIND, instruction)
            is_here = row is not None and row.department == self._who.department and approved_of(row)
            self._rows[instruction] = row if is_here else None
        return self._rows[instruction]

    def _sets_with(self, row: Row) -> int:
        """In how many sets in use a device is; a set knows it by its id or by what it is called."""
        if self._in_sets is None:
            rows = self._unit.rows.all(
                sets.KIND, [self._who.department], states=[sets.IN_USE], limit=_MOST_ROWS
            )
            self._in_sets = Counter(name for one in rows for name in _names_in(look_in(one)))
        return sum(self._in_sets[name] for name in {row.id, *titles_of(row)})


def _names_in(look: SetLook) -> set[str]:
    return {*(seen.instruction for seen in look.texts), *map(folded, look.unknown)}


def _likely(kept: KeptMemory, now: datetime) -> float:
    return likely_known(Memory.of_fields(kept.due, kept.fields), now)
