"""Recalls of random histories answer as a plain walk through the record book does."""

from __future__ import annotations

import random
from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

import pytest

from sinkside.bench.recall import CauseKind
from sinkside.desk.recall import recalling
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.recalling import Scope
from sinkside.journal import Event
from sinkside.records import Wanted
from support.bench_sequence import MACHINES, Sequence


class Book:
    """What the record book says: which runs lay in which loads, and which cases each run was used in."""

    def __init__(self, events: Iterable[Event]) -> None:
        self.loads: list[tuple[str, datetime, frozenset[str]]] = []
        self.used_in: dict[str, set[str]] = defaultdict(set)
        self._building: dict[str, dict[str, str]] = defaultdict(dict)
        self._last: dict[str, str] = {}
        self._before: dict[str, str] = {}
        for event in events:
            if event.data["outcome"] == "done":
                act: Any = event.data["act"]
                self._take(event, act, datetime.fromisoformat(str(event.data["done"])))

    def _take(self, event: Event, act: dict[str, Any], at: datetime) -> None:
        name, run = act["act"], str(event.data["run"])
        if run and run != self._last.get(event.subject):
            self._before[event.subject] = self._last.get(event.subject, "")
            self._last[event.subject] = run
        if name == "add-to-load":
            self._building[act["machine"]][act["code"]] = run
        elif name == "take-out-of-load":
            self._building[act["machine"]].pop(act["code"], None)
        elif name == "start-load":
            runs = frozenset(self._building.pop(act["machine"], {}).values())
            self.loads.append((act["machine"], at, runs))
        elif name == "report-use":
            # What was used is what the run before made ready; the report itself belongs to the next one.
            self.used_in[self._before[event.subject]].add(act["case"])

    def reached(self, machine: str, since: datetime, until: datetime) -> dict[str, set[str]]:
        """The runs in a machine's loads of some time, each with the cases that it was used in."""
        runs = {run for of, at, those in self.loads if of == machine and since <= at < until for run in those}
        return {run: self.used_in.get(run, set()) for run in runs}


def _agree(seed: int, steps: int) -> int:
    """Ask after both machines in several windows of one history; how many runs were reached in all."""
    sequence = Sequence(seed)
    sequence.go(steps)
    house, bench = sequence.bench.house, sequence.bench
    house.now = bench.now
    with house.archive.unit(writes=False) as unit:
        events = unit.journal.events("north", Wanted(kinds=("tapped",), limit=1_000_000))
    book = Book(sorted(events, key=lambda one: one.sequence))
    chance = random.Random(seed)  # noqa: S311 # repeatable
    found = 0
    for machine in MACHINES:
        for _ in range(4):
            since = bench.now - timedelta(minutes=chance.randint(30, 3_000))
            until = since + timedelta(minutes=chance.randint(1, 2_000))
            cause = Cause(kind=CauseKind.machine, of=machine, words="It broke.")
            reach = recalling.see_reach(
                house.archive, house.visitor("lena"), cause, Scope(since=since, until=until), now=bench.now
            )
            told = {one.run: set(one.used_in) for one in reach.touched}
            assert told == book.reached(machine, since, until), f"seed {seed}, {machine}, {since}"
            found += len(told)
    return found


def test_recalls_of_some_random_histories_answer_as_the_record_book() -> None:
    """Three histories, eight windows each: the same runs and the same cases; and some are reached at all."""
    assert sum(_agree(seed, 150) for seed in (3, 4, 5)) > 0


@pytest.mark.long
def test_recalls_of_a_thousand_random_histories_answer_as_the_record_book() -> None:
    """The same of a thousand histories."""
    assert sum(_agree(seed, 200) for seed in range(1_000)) > 1_000
