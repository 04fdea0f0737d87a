"""Recalls of random histories answer as a plain walk through the record book does, whatever began them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final

import pytest

from sinkside.bench.recall import CauseKind, Where
from sinkside.desk import solution_log
from sinkside.desk.recall import recalling
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.recalling import Scope
from sinkside.desk.recall.tracing import sets_of_codes
from sinkside.desk.solution_making import Said
from sinkside.instruction import Instruction
from sinkside.records import Wanted
from support.bench_house import suction_tube
from support.bench_sequence import ALL, MACHINES, Sequence
from support.figures import Figure
from support.recall_walk import Book
from support.set_house import approved

#: What the demo's washer doses in the program that the histories run, and the water that it draws.
DOSED: Final = ("washer-1", "Instruments 90")
CHEMICAL: Final = "neutraflow"
WATER: Final = "ro-loop"
LOTS: Final = ("A-1", "B-2")
PEOPLE: Final = ("tom", "tia", "lena")
#: More runs than one of these histories has.
MANY: Final = 1_000_000


class History(Sequence):
    """A sequence in which no two acts share a moment, solutions come and go, and the text changes."""

    def tap(self, name: str, act: dict[str, Any]) -> str:
        """One tap, a little later than the one before."""
        self.bench.later(0.05)
        return super().tap(name, act)

    def lives(self, steps: int) -> None:
        """So many requests, with a solution made or discarded now and then, and a new revision half way."""
        standing: list[str] = []
        for part in range(8):
            self.go(steps // 8)
            self.bench.later(0.05)
            house, now = self.bench.house, self.bench.now
            house.now = now
            lena = house.visitor("lena")
            if standing and self.chance.random() < 0.5:
                solution_log.discard(house.archive, lena, standing.pop(), now=now)
            if self.chance.random() < 0.6:
                made = solution_log.MadeUp(self.chance.choice(LOTS), now)
                said = Said(CHEMICAL, "10", temperature="40")
                standing.append(solution_log.log_solution(house.archive, lena, said, made, now=now))
            if part == 3 and self.chance.random() < 0.5:
                approved(house, self._next_text(), follows=self.bench.instruction)

    def _next_text(self) -> Instruction:
        """The next revision of the tube's text: the very same words, or another revision of the maker's."""
        text = suction_tube()
        if self.chance.random() < 0.5:
            return text
        document = text.device.document.model_copy(update={"revision": "another"})
        return text.model_copy(update={"device": text.device.model_copy(update={"document": document})})


def _book(history: History) -> Book:
    wanted = Wanted(
        kinds=("tapped", "load-decided", "revision-approved", "solution-made", "solution-discarded"),
        limit=1_000_000,
    )
    with history.bench.house.archive.unit(writes=False) as unit:
        events = sorted(unit.journal.events("north", wanted), key=lambda one: one.sequence)
        ids = {
            load.id: (machine, number)
            for machine in MACHINES
            for number, load in enumerate(
                unit.bench.loads.of_machine("north", machine, since=history.bench.now.replace(year=2000))
            )
        }
    return Book(events, ids)


def _asked(
    history: History, book: Book, since: datetime, until: datetime
) -> Iterator[tuple[Cause, set[str]]]:
    """One cause of each kind, and the runs that it reaches by the record book."""
    draw, people = history.chance.choice, history.bench.house.people
    for machine in MACHINES:
        yield _cause(CauseKind.machine, machine), book.machine([machine], since, until)
    yield _cause(CauseKind.water, WATER), book.machine(["washer-1", "washer-2"], since, until)
    person, where = people[draw(PEOPLE)], draw((None, *Where))
    of_person = _cause(CauseKind.person, person, where=where)
    yield of_person, book.person(person, since, until, where.value if where else "")
    lot = draw(LOTS)
    if any(lot == one for one, _, _ in book.solutions.values()):
        yield _cause(CauseKind.chemical, CHEMICAL, lot=lot), book.lot(lot, DOSED, since, until)
    revision = draw(tuple(book.approved))
    text = _cause(CauseKind.text, history.bench.instruction, revision=revision)
    yield text, book.text(revision, since, until)
    yield _cause(CauseKind.product, history.bench.instruction), book.text(0, since, until)
    for kind in (CauseKind.product, CauseKind.prion):
        ids = _ids(history, draw([ALL[:1], ALL[1:], ALL]))
        yield _cause(kind, ids[0], sets=ids), book.sets([f"copy:{one}" for one in ids], since, until)


def _cause(kind: CauseKind, of: str, **more: Any) -> Cause:
    return Cause(kind=kind, of=of, words="It went wrong.", **more)


def _ids(history: History, codes: tuple[str, ...]) -> tuple[str, ...]:
    with history.bench.house.archive.unit(writes=False) as unit:
        return sets_of_codes(unit, history.bench.house.visitor("lena"), codes)


def _agree(seed: int, steps: int) -> Counter[CauseKind]:
    """Ask after a cause of each kind in several windows of one history; how many runs each reached in all."""
    history = History(seed)
    began = history.bench.now
    history.lives(steps)
    house, bench = history.bench.house, history.bench
    house.now = bench.now
    book, found = _book(history), Counter[CauseKind]()
    for _ in range(3):
        since = began + history.chance.random() * (bench.now - began)
        until = since + history.chance.random() * (bench.now + timedelta(minutes=1) - since)
        for cause, walked in _asked(history, book, since, until):
            scope = Scope(since=since, until=until)
            lena, most = house.visitor("lena"), history.chance.randrange(4)
            whole, _ = recalling.see_reach(house.archive, lena, cause, scope, now=bench.now, most=MANY)
            summed, _ = recalling.see_reach(house.archive, lena, cause, scope, now=bench.now, most=most)
            assert summed == replace(whole, touched=whole.touched[:most])
            assert (whole.runs, whole.sets) == (len(whole.touched), len({one.copy for one in whole.touched}))
            assert whole.cases == len(whole.told_cases)
            told = {one.run: set(one.used_in) for one in whole.touched}
            wanted = {run: book.used_in.get(run, set()) for run in walked}
            assert told == wanted, f"seed {seed}, {cause}, {since}"
            found[cause.kind] += len(told)
    return found


def _all_agree(seeds: range, steps: int) -> Counter[CauseKind]:
    return sum((_agree(seed, steps) for seed in seeds), Counter[CauseKind]())


def test_recalls_of_some_random_histories_answer_as_the_record_book() -> None:
    """Three histories, every kind of cause in three windows: the same runs and cases; some are reached."""
    assert sum(_all_agree(range(3, 6), 160).values()) > 0


@pytest.mark.long
def test_recalls_of_a_thousand_random_histories_answer_as_the_record_book(
    figure: Figure,
) -> None:
    """The same of a thousand histories; every kind of cause reaches something in some of them."""
    found = _all_agree(range(1_000), 200)
    asked = {CauseKind.machine, CauseKind.water, CauseKind.person, CauseKind.chemical, CauseKind.text}
    assert {kind for kind, number in found.items() if number > 100} >= asked | {"product", "prion"}
    figure(f"1,000 histories, {sum(found.values()):,} reached runs, none otherwise")
