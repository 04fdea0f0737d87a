"""Fills a house with years of work at the benches: one department, the demo's load over and over.

Every event is canonical and bound to the one before, every run, load, case and record is there too: it is a
history that `sinkside check` finds whole. Rows are written in portions, and indexes are built at the end.
"""

from __future__ import annotations

import hashlib
import heapq
import json
import random
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import count
from typing import Any, Final

from history_story import Line, Story, read_story
from sqlalchemy import Connection, Table, insert, select, update

from sinkside.archive import WorkspaceArchive
from sinkside.archive.connection import begun
from sinkside.archive.documents import seal
from sinkside.archive.schema import NEVER, event_words, events, heads, moment_text, revisions, rows
from sinkside.archive.schema_bench import case_sets, cases, copies, loaded, loads, plan_texts, runs, taps
from sinkside.demo.house import VALLEY, fill_house

#: So many events a year come from a department of some 50 sets a day; a larger history is one of more years,
#: and beyond these of a larger department.
EVENTS_A_YEAR: Final = 400_000
MOST_YEARS: Final = 10
COPIES_A_SIZE: Final = 400
SETS_A_LOAD: Final = 8
PLANS: Final = 60
_PORTION: Final = 20_000

_FILLED: Final = (events, event_words, taps, runs, loads, loaded, cases, case_sets, rows, revisions)


@dataclass(frozen=True)
class Filled:
    """How many events there are now, and how long filling them in took."""

    events: int
    seconds: float


def fill_history(
    archive: WorkspaceArchive, *, wanted: int, now: datetime, seed: int, say: Callable[[str], None]
) -> Filled:
    """Fill an empty house with a history that ends now.

    Args:
        archive: an empty workspace.
        wanted: how many events, about.
        now: the moment at which it ends.
        seed: of everything random.
        say: told how far it is.
    """
    started = time.perf_counter()
    years = min(MOST_YEARS, max(1, round(wanted / EVENTS_A_YEAR)))
    begin = now - timedelta(days=365 * years)
    fill_house(archive, now=begin)
    with begun(archive.engine, writes=False) as transaction:
        story = read_story(transaction.connection)
    with begun(archive.engine, writes=True) as transaction:
        _drop_indexes(transaction.connection)
    filler = _Filler(archive, story, wanted=wanted, begin=begin, end=now, seed=seed, say=say)
    filler.fill()
    say("building indexes")
    with begun(archive.engine, writes=True) as transaction:
        _build_indexes(transaction.connection)
    return Filled(filler.sequence, time.perf_counter() - started)


def _drop_indexes(connection: Connection) -> None:
    for table in _FILLED:
        for index in table.indexes:
            index.drop(connection)


def _build_indexes(connection: Connection) -> None:
    for table in _FILLED:
        for index in table.indexes:
            index.create(connection)
    connection.exec_driver_sql("ANALYZE").close()


class _Filler:
    """One department's loads, one after the other, as templates filled in."""

    def __init__(
        self,
        archive: WorkspaceArchive,
        story: Story,
        *,
        wanted: int,
        begin: datetime,
        end: datetime,
        seed: int,
        say: Callable[[str], None],
    ) -> None:
        self._archive, self._story, self._say = archive, story, say
        self._chance = random.Random(seed)
        self._wanted, self._begin, self._end = wanted, begin, end
        a_load = sum(SETS_A_LOAD if line.of_set else 1 for line in story.lines)
        self._batches = wanted // a_load
        size = max(1, round(wanted / EVENTS_A_YEAR / MOST_YEARS))
        self._copies = [self._id("c") for _ in range(COPIES_A_SIZE * size)]
        self._names = {copy: f"Hand set {number}" for number, copy in enumerate(self._copies)}
        self._codes = {copy: f"H-{number:06}" for number, copy in enumerate(self._copies)}
        self._plans = [hashlib.sha256(f"{seed} {number}".encode()).hexdigest() for number in range(PLANS)]
        self._run_of: dict[str, tuple[Any, ...]] = {}
        self._out = _nothing_yet()
        self._writer = ThreadPoolExecutor(max_workers=1)
        self._written: Future[None] | None = None
        self._waiting: list[tuple[datetime, int, Line, Mapping[str, Any]]] = []
        self._turn = count()
        self.sequence, self._previous = 0, ""
        self._people: list[str] = []

    def _id(self, prefix: str) -> str:
        return f"{prefix}-{self._chance.getrandbits(64):016x}"

    def fill(self) -> None:
        """Write everything but the indexes."""
        self._take_up_the_chain()
        self._plans_and_people()
        step = (self._end - self._begin - self._story.took - timedelta(days=2)) / self._batches
        for number in range(self._batches):
            base = self._begin + timedelta(days=1) + step * number
            base = base.replace(microsecond=0) + timedelta(microseconds=self._chance.randrange(10**6))
            self._tell_until(base)
            self._load(number, base)
            if number % 400 == 0:
                self._write()
                self._say(f"{self.sequence:,} of about {self._wanted:,} events")
        self._tell_until(self._end)
        self._out[runs].extend(self._run_of.values())
        self._write()
        self._finish()

    def _take_up_the_chain(self) -> None:
        with begun(self._archive.engine, writes=False) as transaction:
            head = transaction.connection.execute(select(heads).where(heads.c.department == VALLEY.id)).one()
        self.sequence, self._previous = head.sequence, head.digest

    def _plans_and_people(self) -> None:
        """As many plans as there are kinds of sets, each with a text of its own; and everybody's id."""
        with self._archive.unit(writes=False) as unit:
            self._people = [person.id for person in unit.people.all()]
            kept = unit.documents.get("plan", self._story.plan)
            assert kept is not None
            text = json.loads(kept.body)["texts"][0]["instruction"]
            read = unit.documents.get("instruction", text)
        assert read is not None
        with begun(self._archive.engine, writes=True) as transaction:
            for number, plan in enumerate(self._plans):
                instruction = f"i-{number:016x}"
                for kind, subject, one in (("plan", plan, kept), ("instruction", instruction, read)):
                    told = (kind, subject, 1, one.body, one.digest, one.by, moment_text(one.at), "")
                    self._out[revisions].append(_sealed(told))
                follows = {"instruction": instruction, "revision": 1, "plan": plan}
                transaction.connection.execute(insert(plan_texts), follows)

    def _load(self, number: int, base: datetime) -> None:
        """One load of sets, from theatre to the store."""
        story, chance = self._story, self._chance
        taken = [
            self._copies[(number * SETS_A_LOAD + place) % len(self._copies)] for place in range(SETS_A_LOAD)
        ]
        machine = chance.choice("12")
        shared: dict[str, Any] = {
            name: _at(base + offset, form) for name, (offset, form) in story.moments.items()
        }
        shared |= {
            "wash": self._id("l"),
            "steam": self._id("l"),
            "cycle": self._id("c"),
            "washer": f"washer-{machine}",
            "washer_name": f"Washer {machine}",
            "sterilizer": f"sterilizer-{machine}",
            "sterilizer_name": f"Sterilizer {machine}",
            "members": ",".join(f'"of {copy}":"suction tube 3.5 mm"' for copy in taken),
            "pieces": 2 * SETS_A_LOAD,
            "set": story.set_key,
            "keys": f"h{number}",
            **self._somebody(),
        }
        self._documents(shared)
        for table in (loads, rows):
            self._out[table].extend(_filled(one, shared) for one in story.of_load[table.name])
        every = [self._set(number, place, copy, base, shared) for place, copy in enumerate(taken)]
        for line in story.lines:
            for values in every if line.of_set else [shared]:
                heapq.heappush(self._waiting, (base + line.offset, next(self._turn), line, values))

    def _somebody(self) -> dict[str, str]:
        """Who was in theatre, at the bench and in the lead, with their ids in small letters too."""
        people = {name: self._chance.choice(self._people) for name in self._story.people}
        return {**people, **{f"{name}_low": person.casefold() for name, person in people.items()}}

    def _documents(self, shared: dict[str, Any]) -> None:
        for one in self._story.documents:
            kind, subject, revision, body, _, *rest = one
            digest = hashlib.sha256((body % shared).encode()).hexdigest()
            shared[f"{kind}_digest"] = digest
            told = _filled((kind, subject, revision, body, digest, *rest), shared)
            self._out[revisions].append(_sealed(told))

    def _set(
        self, number: int, place: int, copy: str, base: datetime, shared: Mapping[str, Any]
    ) -> dict[str, Any]:
        """One set of a load: its run, where it lay, the case that it comes from, and its last run closed."""
        case = f"K-{number}-{place // 2}"
        values = {
            **shared,
            "copy": copy,
            "code": self._codes[copy],
            "name": self._names[copy],
            "run": self._id("r"),
            "plan": self._plans[int(copy[2:6], 16) % PLANS],
            "case": case,
            "keys": f"h{number}-{place}",
        }
        if place % 2 == 0:
            room, begun_at, ended = (
                str(place % 5 + 1),
                moment_text(base - timedelta(hours=3)),
                moment_text(base),
            )
            self._out[cases].append((f"case-{case}", VALLEY.id, case, room, begun_at, "closed", ended, "{}"))
        before = self._run_of.get(copy)
        made_ready_by = before[0] if before else ""
        got = (f"case-{case}", self._story.set_key, place % 2 + 1, copy, "used", made_ready_by)
        self._out[case_sets].append(got)
        if before:
            self._out[runs].append((*before[:7], moment_text(base), before[8]))
        (run,) = (_filled(one, values) for one in self._story.of_set["runs"])
        self._run_of[copy] = run
        self._out[loaded].extend(_filled(one, values) for one in self._story.of_set["loaded"])
        return values

    def _tell_until(self, moment: datetime) -> None:
        """Bind to the chain, in the order of time, what happened before a moment."""
        waiting, out, words = self._waiting, self._out[events], self._out[event_words]
        sequence, previous = self.sequence, self._previous
        while waiting and waiting[0][0] < moment:
            at, _, line, values = heapq.heappop(waiting)
            sequence += 1
            canonical = (line.canonical % {**values, "sequence": sequence, "previous": previous}).encode()
            previous = hashlib.sha256(canonical).hexdigest()
            actor, subject = line.actor % values, line.subject % values
            out.append((VALLEY.id, sequence, previous, moment_text(at), line.kind, actor, subject, canonical))
            words.append((VALLEY.id, sequence, (line.words % values).casefold()))
            if line.tap:
                self._out[taps].append(_filled(line.tap, values))
        self.sequence, self._previous = sequence, previous

    def _write(self) -> None:
        """Let what was made be written while more is being made."""
        self._await_written()
        self._written = self._writer.submit(self._keep, self._out)
        self._out = _nothing_yet()

    def _await_written(self) -> None:
        if self._written is not None:
            self._written.result()

    def _keep(self, made: Mapping[Table, list[tuple[Any, ...]]]) -> None:
        with begun(self._archive.engine, writes=True) as transaction:
            for table, waiting in made.items():
                write_rows(transaction.connection, table, waiting)

    def _finish(self) -> None:
        """Keep the head of the chain, and where every set stands now."""
        self._await_written()
        self._writer.shutdown()
        now = moment_text(self._end)
        stand = (NEVER, '{"uses":1}')
        made = [
            (*self._of_copy(copy), "in-store", "rack 3, shelf B", now, self._run_of[copy][0], *stand)
            for copy in self._copies
            if copy in self._run_of
        ]
        with begun(self._archive.engine, writes=True) as transaction:
            write_rows(transaction.connection, copies, made)
            moved = {"sequence": self.sequence, "digest": self._previous}
            transaction.connection.execute(update(heads).where(heads.c.department == VALLEY.id).values(moved))

    def _of_copy(self, copy: str) -> tuple[str, ...]:
        return copy, VALLEY.id, self._codes[copy], "set", self._story.set_key, self._names[copy]


def _nothing_yet() -> dict[Table, list[tuple[Any, ...]]]:
    return {table: [] for table in _FILLED}


def write_rows(connection: Connection, table: Table, made: list[tuple[Any, ...]]) -> None:
    """Add stored rows of a table, in the order of its columns, in the quickest way that a database has."""
    if not made:
        return
    names = ", ".join(f'"{column.name}"' for column in table.c)
    if connection.dialect.name == "sqlite":
        marks = ", ".join("?" for _ in table.c)
        connection.exec_driver_sql(f'INSERT INTO "{table.name}" ({names}) VALUES ({marks})', made)  # noqa: S608
        return
    driver: Any = connection.connection.driver_connection
    with driver.cursor() as cursor, cursor.copy(f'COPY "{table.name}" ({names}) FROM STDIN') as stream:
        for row in made:
            stream.write_row(row)


def _filled(template: tuple[Any, ...], values: Mapping[str, Any]) -> tuple[Any, ...]:
    return tuple(one % values if isinstance(one, str) else one for one in template)


def _sealed(told: tuple[Any, ...]) -> tuple[Any, ...]:
    names = [column.name for column in revisions.c if column.name != "seal"]
    return (*told, seal(dict(zip(names, told, strict=True))))


def _at(moment: datetime, form: str) -> str:
    text = moment_text(moment)
    return text if form == "Z" else f"{text[:-1]}+00:00"
