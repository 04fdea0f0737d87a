"""A plain walk through the record book: what each cause of a recall reaches, told from events alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sinkside.journal import Event

#: How a set may stand after somebody worked there (written by hand beside `bench.recall.STOOD_AT`).
STOOD = {
    "sink": {"at-sink", "in-washer", "held"},
    "inspection": {"clean-side", "packing", "held"},
    "packing": {"packing", "packed", "held"},
    "loads": {"in-washer", "in-sterilizer", "held"},
    "store": {"sterilized", "in-store", "issued", "held"},
}


@dataclass(frozen=True)
class Tapped:
    """One act that was done: when, by whom, with which set on which run, how that stood then."""

    at: datetime
    by: str
    copy: str
    run: str
    state: str


@dataclass
class Ran:
    """One load: machine, program, who had to do with it and when, what lay in it, when it began."""

    machine: str
    program: str
    touched: list[tuple[datetime, str]]
    inside: dict[str, str] = field(default_factory=dict)
    started: datetime | None = None
    decided: list[tuple[datetime, str]] = field(default_factory=list)


class Book:
    """What the record book says of a history; `load_ids` tells which of a machine's loads an id is."""

    def __init__(self, events: Iterable[Event], load_ids: Mapping[str, tuple[str, int]]) -> None:
        self._load_ids = load_ids
        self.taps: list[Tapped] = []
        self.loads: list[Ran] = []
        self.opened: dict[str, tuple[str, datetime]] = {}
        self.used_in: dict[str, set[str]] = defaultdict(set)
        self.follows: dict[str, str] = {}
        self.approved: dict[int, str] = {}
        self.solutions: dict[str, tuple[str, datetime, datetime | None]] = {}
        self._words = ""
        self._standing: dict[str, Ran] = {}
        self._last: dict[str, str] = {}
        self._before: dict[str, str] = {}
        for event in events:
            self._take(event)

    def machine(
        self, machines: Collection[str], since: datetime, until: datetime, *, program: str = ""
    ) -> set[str]:
        """The runs in the loads that machines began in some time, of one program or of all."""
        return {
            run
            for load in self.loads
            if load.machine in machines and program in {"", load.program}
            if load.started is not None and since <= load.started < until
            for run in load.inside.values()
        }

    def person(self, person: str, since: datetime, until: datetime, where: str) -> set[str]:
        """The runs that somebody did something with, and those in the loads that they ran or decided on."""
        found = {
            one.run
            for one in self.taps
            if one.by == person and one.run and since <= one.at < until
            if not where or one.state in STOOD[where]
        }
        if where not in {"", "loads"}:
            return found
        for load in self.loads:
            theirs = [at for at, by in (*load.touched, *load.decided) if by == person]
            if load.started is not None and any(since <= at < until for at in theirs):
                found |= set(load.inside.values())
        return found

    def lot(self, lot: str, doses: tuple[str, str], since: datetime | None, until: datetime) -> set[str]:
        """The runs at the sink while a solution of a lot was in use, and in loads that may have drawn it."""
        made = [one for one in self.solutions.values() if one[0] == lot]
        first = since or min(begin for _, begin, _ in made)
        found = self.machine(doses[:1], first, until, program=doses[1])
        for _, begin, end in made:
            found |= set(self._at_the_sink(max(begin, first), min(end or until, until)))
        return found

    def sets(self, copies: Collection[str], since: datetime, until: datetime) -> set[str]:
        """The runs that some sets were on at any moment of some time."""
        found = set()
        for copy in copies:
            own = [(at, run) for run, (of, at) in self.opened.items() if of == copy]
            ends = [at for at, _ in own[1:]]
            for (at, run), end in zip(own, [*ends, None], strict=True):
                if at < until and (end is None or end > since):
                    found.add(run)
        return found

    def text(self, revision: int, since: datetime, until: datetime) -> set[str]:
        """The runs opened in some time while the words of a revision were approved; 0: any words."""
        return {
            run
            for run, (_, at) in self.opened.items()
            if since <= at < until and (not revision or self.follows[run] == self.approved[revision])
        }

    def _at_the_sink(self, begin: datetime, end: datetime) -> Iterator[str]:
        if begin >= end:
            return
        by_copy: dict[str, list[Tapped]] = defaultdict(list)
        for one in sorted(self.taps, key=lambda one: one.at):
            if one.copy:
                by_copy[one.copy].append(one)
        for own in by_copy.values():
            for one, after in zip(own, [*own[1:], None], strict=True):
                lasts_into_it = after is None or after.at >= begin
                if one.state == "at-sink" and one.at < end and (one.at >= begin or lasts_into_it):
                    yield one.run

    def _take(self, event: Event) -> None:
        data: Any = event.data
        if event.kind == "tapped" and data["outcome"] == "done":
            self._tap(event, data["act"], datetime.fromisoformat(data["done"]))
        elif event.kind == "load-decided":
            self._decided(event)
        elif event.kind == "revision-approved":
            self._words = self.approved[data["revision"]] = data["digest"]
        elif event.kind == "solution-made":
            self.solutions[event.subject] = (data["lot"], event.at, None)
        elif event.kind == "solution-discarded":
            lot, made, _ = self.solutions[event.subject]
            self.solutions[event.subject] = (lot, made, event.at)

    def _tap(self, event: Event, act: dict[str, Any], at: datetime) -> None:
        data: Any = event.data
        of, run = event.subject, str(data["run"])
        copy = of if of.startswith("copy:") else ""
        self.taps.append(Tapped(at, event.actor, copy, run if copy else "", data["state"]))
        if copy and run and run != self._last.get(of):
            self._before[of] = self._last.get(of, "")
            self._last[of] = run
            self.opened[run] = (of, at)
            self.follows[run] = self._words
        self._load(event, act, at, run)
        if act["act"] == "report-use":
            # What was used is what the run before made ready; the report itself belongs to the next one.
            self.used_in[self._before[of]].add(act["case"])

    def _load(self, event: Event, act: dict[str, Any], at: datetime, run: str) -> None:
        name, machine = act["act"], str(act.get("machine") or "")
        if name == "open-load":
            load = Ran(machine, act["program"], [(at, event.actor)])
            self._standing[machine] = load
            self.loads.append(load)
        elif name == "add-to-load":
            self._standing[machine].inside[act["code"]] = run
        elif name == "take-out-of-load":
            self._standing[machine].inside.pop(act["code"], None)
        elif name == "start-load":
            load = self._standing[machine]
            load.touched.append((at, event.actor))
            load.started = at
            self._standing[f"in {machine}"] = load
        elif name == "end-load":
            self._standing[f"in {machine}"].touched.append((at, event.actor))

    def _decided(self, event: Event) -> None:
        """A decision names its load by an id; those of a machine come as they were begun."""
        machine, number = self._load_ids[event.subject.partition(":")[2]]
        of_machine = [load for load in self.loads if load.machine == machine]
        of_machine[number].decided.append((event.at, event.actor))
