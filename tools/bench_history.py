"""Years of a department: how long what people ask takes, on a smaller and a larger history.

    python tools/bench_history.py [--events N ...] [--database sqlite|postgresql] [--rounds N] [--seed N]
                                  [--at FOLDER] [--server ADDRESS]

Each history is filled in anew (`tools/long_history.py`), questions are asked of random sets, people,
machines, texts and stretches of time, and p50 and p95 are told, with the growth of p95 from the first size to
the last. A stretch of time is as long in a smaller history as in a larger one; the whole time is not, and the
answer to it grows with it. `--at` keeps the workspaces in a folder and measures again what it finds there.
`--server` is an address of PostgreSQL in which `{}` is the name of an empty database, h400000 and so on;
without it a server is started, and thrown away afterwards.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import os
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from statistics import fmean, median, quantiles
from typing import Final, TypeVar

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from long_history import fill_history
from sqlalchemy import func, select

from sinkside import wiring
from sinkside.archive import WorkspaceArchive, create_workspace, open_archive
from sinkside.archive.connection import begun
from sinkside.archive.schema import heads
from sinkside.archive.schema_bench import copies, plan_texts, runs
from sinkside.bench.recall import CauseKind
from sinkside.bench.tap import Tap
from sinkside.demo.house import VALLEY
from sinkside.desk import solution_log
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.bench.arrivals import arrivals
from sinkside.desk.bench.store_list import find_store
from sinkside.desk.bench.tapping import tap
from sinkside.desk.history.reading import see_history
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.recalling import Scope, see_reach
from sinkside.desk.record_book import read_record
from sinkside.desk.solution_documents import SinkSolution
from sinkside.desk.solution_making import Said
from sinkside.desk.today import today
from sinkside.records import Wanted
from support.postgresql_server import new_database, running_server

_One = TypeVar("_One")

SMALLER, LARGER = 400_000, 4_000_000
SEED: Final = 11
ROUNDS: Final = 40
WHOLE_ROUNDS: Final = 6
HISTORY_BAR_S, RECALL_BAR_S, GROWTH_BAR = 0.200, 2.0, 1.5
#: Sets that are soiled when the history ends, so that arrivals and the sink have their work.
SOILED: Final = 40
#: One lot of a chemical was at the sink for so long, a new solution of it so often, each for so long.
CHEMICAL: Final = "neutraflow"
LOT: Final = "lot-1"
LOT_DAYS: Final = 60
SOLUTIONS_A_DAY: Final = 3
SOLUTION_LASTS: Final = timedelta(hours=4)
#: What is quicker than this is felt by nobody, however it grows.
_FELT_S: Final = 0.02
_MEMORY: Final = "512MB"

_MACHINES: Final = ("sterilizer-1", "sterilizer-2", "washer-1", "washer-2")
_EVER: Final = "the whole time"
_STRETCHES: Final = {"three days": timedelta(days=3), "a month": timedelta(days=30), _EVER: None}


@dataclass(frozen=True)
class Asked:
    """One kind of question: how often it is asked, its bar, and what asks it once."""

    rounds: int
    bar_s: float | None
    ask: Callable[[], object]
    grows: bool = False


@dataclass(frozen=True)
class Measured:
    """What a kind of question took, in seconds, and the bar that it has.

    `worked_s` is the mean of what processors worked for it, here and in the database's server: where others
    use the machine too, the rest of the time is spent waiting for them.
    """

    p50_s: float
    p95_s: float
    worked_s: float
    bar_s: float | None
    grows: bool


class Questions:
    """Everything that is asked of one history, at random."""

    def __init__(self, archive: WorkspaceArchive, *, now: datetime, seed: int, rounds: int) -> None:
        self._archive, self._now, self._rounds = archive, now, rounds
        self._chance = random.Random(seed)
        self._lead = _visitor(archive, "lead", now)
        with begun(archive.engine, writes=False) as transaction:
            do = transaction.connection.execute
            self._sets = list(do(select(copies.c.id).where(copies.c.code.like("H-%")).limit(2_000)).scalars())
            self._texts = [tuple(one) for one in do(select(plan_texts.c.instruction, plan_texts.c.revision))]
            self.begin = do(select(func.min(runs.c.opened))).scalar_one()
            self.events = do(select(heads.c.sequence).where(heads.c.department == VALLEY.id)).scalar_one()
        with archive.unit(writes=False) as unit:
            self._people = [person.id for person in unit.people.all()]

    def asked(self) -> dict[str, Asked]:
        """Every kind of question, by what it is called."""
        who, now, archive = self._lead, self._now, self._archive
        plain: dict[str, Callable[[], object]] = {
            "history of a set": lambda: see_history(archive, who, "set", self._any(self._sets), now=now),
            "record book of a set": lambda: read_record(
                archive, who, Wanted(subject=f"copy:{self._any(self._sets)}", limit=100)
            ),
            "record book, a page anywhere": lambda: read_record(
                archive, who, Wanted(before=self._chance.randrange(101, self.events), limit=100)
            ),
            "record book of a person": lambda: read_record(
                archive, who, Wanted(actor=self._any(self._people), limit=100)
            ),
            "today": lambda: today(archive, who, now=now),
            "store": lambda: find_store(archive, who, now=now),
            "arrivals": lambda: arrivals(archive, who, now=now),
        }
        found = {name: Asked(self._rounds, HISTORY_BAR_S, ask) for name, ask in plain.items()}
        return {**found, **self._recalls()}

    def _recalls(self) -> dict[str, Asked]:
        causes: dict[str, Callable[[], Cause]] = {
            "a machine": lambda: _cause(CauseKind.machine, self._any(_MACHINES)),
            "a person": lambda: _cause(CauseKind.person, self._any(self._people)),
            "a text": self._text,
            "a lot": lambda: _cause(CauseKind.chemical, CHEMICAL, lot=LOT),
            "a set": self._a_set,
        }
        found = {}
        for what, cause in causes.items():
            for name, length in _STRETCHES.items():
                rounds = self._rounds if length else min(self._rounds, WHOLE_ROUNDS)
                ask = self._recall(cause, length, lately=what == "a lot")
                found[f"recall of {what}, {name}"] = Asked(rounds, RECALL_BAR_S, ask, grows=length is None)
        return found

    def _a_set(self) -> Cause:
        one = self._any(self._sets)
        return _cause(CauseKind.product, one, sets=(one,))

    def _recall(
        self, cause: Callable[[], Cause], length: timedelta | None, *, lately: bool
    ) -> Callable[[], object]:
        begin = self._now - timedelta(days=LOT_DAYS) if lately else self.begin

        def ask() -> object:
            if length is None:
                scope = Scope(since=self.begin, until=self._now)
            else:
                since = begin + (self._now - length - begin) * self._chance.random()
                scope = Scope(since=since, until=since + length)
            return see_reach(self._archive, self._lead, cause(), scope, now=self._now)

        return ask

    def _text(self) -> Cause:
        instruction, revision = self._any(self._texts)
        return _cause(CauseKind.text, instruction).model_copy(update={"revision": revision})

    def _any(self, those: Sequence[_One]) -> _One:
        return self._chance.choice(those)


def _cause(kind: CauseKind, of: str, *, lot: str = "", sets: tuple[str, ...] = ()) -> Cause:
    return Cause(kind=kind, of=of, words="Asked by the benchmark.", lot=lot, sets=sets)


def _visitor(archive: WorkspaceArchive, sign_in: str, now: datetime) -> Visitor:
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in(sign_in)
        assert person is not None
        return visitor_in(unit, person.id, VALLEY.id, now)


def soil(archive: WorkspaceArchive, *, now: datetime) -> None:
    """Report some sets as used just now, by the verb that people use."""
    who = _visitor(archive, "theatre", now)
    for number in range(SOILED):
        code, used = f"H-{number * 7:06}", (now - timedelta(minutes=20)).isoformat()
        act = {
            "act": "report-use",
            "code": code,
            "case": f"C-9{number:03}",
            "last_used": used,
            "treated": True,
        }
        one = Tap.model_validate({"key": f"bench-now-{number}", "at": now, "act": act})
        (answer,) = tap(archive, who, [one], now=now)
        if answer.outcome != "done":
            raise SystemExit(f"{code}: {answer.said}")


def keep_solutions(archive: WorkspaceArchive, *, now: datetime) -> None:
    """Let every solution at the sink of two months have been of one lot, three of them a day.

    The last is made up by the verb that people use; the ones before are kept as that one is, days earlier.
    """
    who = _visitor(archive, "lead", now)
    said = Said(CHEMICAL, "10", temperature="40")
    last = solution_log.log_solution(archive, who, said, solution_log.MadeUp(LOT, now), now=now)
    with archive.unit() as unit:
        row = unit.rows.get(solution_log.SOLUTION, last)
        kept = read_kept(unit, solution_log.SOLUTION, last, SinkSolution)
        assert row is not None
        assert kept is not None
        for number in range(1, LOT_DAYS * SOLUTIONS_A_DAY):
            earlier = number * timedelta(days=1) / SOLUTIONS_A_DAY
            over = now - earlier + SOLUTION_LASTS
            one = kept.model_copy(update={"made": now - earlier, "discarded": over, "discarded_by": kept.by})
            key = f"{last}-{number}"
            keep_next(unit, solution_log.SOLUTION, key, one, by=who.person, now=over)
            unit.rows.put(replace(row, id=key, state=solution_log.DISCARDED, updated=over))


def measure(questions: Questions, server: int | None) -> dict[str, Measured]:
    """Ask everything, each kind once before it is timed; `server` is the process of the database's server."""
    gc.collect()
    gc.freeze()
    found = {}
    for name, one in questions.asked().items():
        one.ask()
        timed = [_timed(one.ask, server) for _ in range(one.rounds)]
        taken, worked = zip(*timed, strict=True)
        p95 = quantiles(taken, n=20)[-1] if len(taken) >= ROUNDS // 2 else max(taken)
        found[name] = Measured(median(taken), p95, fmean(worked), one.bar_s, one.grows)
    gc.unfreeze()
    return found


def _timed(ask: Callable[[], object], server: int | None) -> tuple[float, float]:
    begin, worked = time.perf_counter(), time.process_time() + _worked_s(server)
    ask()
    took = time.perf_counter() - begin
    return took, time.process_time() + _worked_s(server) - worked


def _worked_s(server: int | None) -> float:
    """What a server and its processes have worked so far, as Linux counts it: in hundredths."""
    if server is None:
        return 0.0
    children = Path(f"/proc/{server}/task/{server}/children").read_text("ascii").split()
    ticks = 0
    for process in (str(server), *children):
        with contextlib.suppress(FileNotFoundError):
            after_name = Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()
            ticks += sum(map(int, after_name[11:15]))
    return ticks / os.sysconf("SC_CLK_TCK")


def _server_of(archive: WorkspaceArchive) -> int | None:
    """The process of the server, where it is on this machine."""
    if archive.engine.dialect.name == "sqlite":
        return None
    with begun(archive.engine, writes=False) as transaction:
        pid = transaction.connection.execute(select(func.pg_backend_pid())).scalar_one()
    stat = Path(f"/proc/{pid}/stat")
    return int(stat.read_text("ascii").rpartition(")")[2].split()[1]) if stat.exists() else None


@contextlib.contextmanager
def history(
    folder: Path, new: Callable[[int], str], wanted: int, *, seed: int, now: datetime
) -> Iterator[WorkspaceArchive]:
    """A house with a history of a size: one that is there already, or one that is filled in."""
    if not (folder / "workspace.toml").exists():
        create_workspace(folder, database=new(wanted))
        archive = open_archive(folder)
        made = fill_history(archive, wanted=wanted, now=now, seed=seed, say=_say)
        soil(archive, now=now)
        keep_solutions(archive, now=now)
        each = _bytes(archive, folder) / made.events
        print(f"{folder.name}: filled in {made.seconds:.0f} s, {each:,.0f} bytes an event")
        archive.close()
    archive = open_archive(folder)
    yield archive
    archive.close()


def _empty_databases(stack: contextlib.ExitStack, kind: str, server: str) -> Callable[[int], str]:
    """Gives the address of an empty database for a size; none for SQLite, which has its file."""
    if kind == "sqlite":
        return lambda _: ""
    if server:
        return lambda wanted: server.replace("{}", f"h{wanted}")
    socket = stack.enter_context(running_server(memory=_MEMORY))
    return lambda wanted: new_database(socket, f"h{wanted}")


def _bytes(archive: WorkspaceArchive, folder: Path) -> int:
    if archive.engine.dialect.name == "sqlite":
        return (folder / "sinkside.sqlite3").stat().st_size
    with begun(archive.engine, writes=False) as transaction:
        size = func.pg_database_size(func.current_database())
        return int(transaction.connection.execute(select(size)).scalar_one())


def _say(words: str) -> None:
    print(f"\r  {words:<60}", end="", file=sys.stderr, flush=True)


def tell(kind: str, sizes: list[int], found: list[dict[str, Measured]]) -> int:
    """Print a line for each kind of question, and say how many bars were missed."""
    heads_of = "".join(f"{f'{size:,} events':>30}" for size in sizes)
    print(f"{kind + ', ms: p50 / p95 (worked)':<40}{heads_of}    growth of p95")
    missed = 0
    for name in found[0]:
        every = [one[name] for one in found]
        told = "".join(f"{_told(one):>30}" for one in every)
        growth = every[-1].p95_s / every[0].p95_s
        wrong = _missed(every, growth if len(every) > 1 else 1.0)
        missed += bool(wrong)
        print(f"{name:<40}{told}    {growth:5.2f} ×  {wrong or 'within its bars'}")
    return missed


def _told(one: Measured) -> str:
    return f"{one.p50_s * 1000:.1f} / {one.p95_s * 1000:.1f} ({one.worked_s * 1000:.1f})"


def _missed(every: list[Measured], growth: float) -> str:
    wrong = []
    if every[-1].bar_s is not None and every[-1].p95_s > every[-1].bar_s:
        wrong.append(f"ABOVE {every[-1].bar_s * 1000:.0f} ms")
    if growth > GROWTH_BAR and not every[-1].grows and every[-1].p95_s > _FELT_S:
        wrong.append(f"GROWS above {GROWTH_BAR} ×")
    return ", ".join(wrong)


def main() -> int:
    """Fill, ask, and tell; exit status 1 if a bar was missed."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--events", type=int, nargs="+", default=[SMALLER, LARGER])
    parser.add_argument("--database", choices=("sqlite", "postgresql"), default="sqlite")
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--at", type=Path)
    parser.add_argument("--server", default="")
    options = parser.parse_args()
    now = wiring.now()
    found = []
    with contextlib.ExitStack() as stack:
        at = options.at or Path(stack.enter_context(tempfile.TemporaryDirectory()))
        new = _empty_databases(stack, options.database, options.server)
        for wanted in options.events:
            with history(
                at / f"{options.database}-{wanted}", new, wanted, seed=options.seed, now=now
            ) as archive:
                asked = Questions(archive, now=now, seed=options.seed, rounds=options.rounds)
                found.append(measure(asked, _server_of(archive)))
    return 1 if tell(options.database, options.events, found) else 0


if __name__ == "__main__":
    sys.exit(main())
