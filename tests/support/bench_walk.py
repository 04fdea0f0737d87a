"""An independent reckoning of the bench: what the record book alone says of every set, event by event.

It shares nothing with `sinkside.bench`: the list of tasks and lines is given, all the rest is told by events.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Final

from sinkside.journal import Event

#: Steam packs are left alone for so long before they are handled (ANSI/AAMI ST79, cooling; second-hand).
COOLING: Final = timedelta(minutes=30)

_BY_HAND_BEFORE_STORE: Final = ("sink", "ultrasonic", "bench", "packing", "sterilizer")
_SENT_BACK: Final = frozenset({"send-back", "soil-found", "pack-mishap"})
_OPENS_A_RUN: Final = frozenset({"report-use"})


@dataclass(frozen=True)
class TaskToDo:
    """One task of a set's route, as its plan was read."""

    id: str
    station: str
    action: str
    at_least_s: float
    is_machine: bool
    is_required: bool


@dataclass
class Load:
    """What one machine took at once."""

    station: str
    codes: set[str] = field(default_factory=set)
    began: datetime | None = None
    ended: datetime | None = None
    released: bool = False
    is_over: bool = False


@dataclass
class OneSet:
    """What was done to one set since it last began at the sink."""

    begun: dict[str, datetime] = field(default_factory=dict)
    done: dict[str, datetime] = field(default_factory=dict)
    looked: dict[str, bool] = field(default_factory=dict)
    counted: dict[str, tuple[int, str]] = field(default_factory=dict)
    packed: bool = False
    loads: list[Load] = field(default_factory=list)
    holds: set[str] = field(default_factory=set)
    number_of_holds: int = 0
    too_early: list[str] = field(default_factory=list)

    def started_again(self) -> OneSet:
        """The set at the sink once more: what was done counts no more; what holds it stays."""
        return OneSet(holds=self.holds, number_of_holds=self.number_of_holds)


class Walk:
    """The record book, walked from its first event to its last."""

    def __init__(
        self,
        tasks: Mapping[str, tuple[TaskToDo, ...]],
        lines: Mapping[str, Mapping[str, tuple[int, bool]]],
        stations: Mapping[str, str],
    ) -> None:
        self._tasks, self._lines, self._stations = tasks, lines, stations
        self.sets = {code: OneSet() for code in tasks}
        self._loads: dict[str, list[Load]] = {machine: [] for machine in stations}
        self.reached_store: list[str] = []
        self.wrong: list[str] = []

    def through(self, events: Iterable[Event], load_ids: Mapping[str, tuple[str, int]]) -> None:
        """Go on through some events; `load_ids` says which of a machine's loads an id is."""
        for event in events:
            if event.kind == "load-decided":
                machine, number = load_ids[event.subject.partition(":")[2]]
                self._decide(self._loads[machine][number], str(event.data["decided"]), event.at)
            elif event.kind == "tapped" and event.data["outcome"] == "done":
                act: Any = event.data["act"]
                if act["act"] in _OPENS_A_RUN and event.data["state"] != "soiled":
                    continue  # a late report of a set that is at work already
                self._act(act, datetime.fromisoformat(str(event.data["done"])))

    def _decide(self, load: Load, decided: str, at: datetime) -> None:
        """A load whose end nobody tapped, and whose record ends it, cools from the decision on."""
        load.released = decided == "released"
        load.ended = load.ended or at

    def _act(self, act: Mapping[str, Any], at: datetime) -> None:
        name = act["act"]
        if "machine" in act and name != "immediate-use":
            self._on_load(name, act, at)
        elif act.get("code") in self.sets:
            self._on_set(name, act["code"], act, at)

    def _on_load(self, name: str, act: Mapping[str, Any], at: datetime) -> None:
        known = self._loads[act["machine"]]
        if name == "open-load":
            known.append(Load(self._stations[act["machine"]]))
        elif name == "add-to-load":
            known[-1].codes.add(act["code"])
            if act["code"] in self.sets:
                self.sets[act["code"]].loads.append(known[-1])
        elif name == "take-out-of-load":
            known[-1].codes.discard(act["code"])
            if act["code"] in self.sets:
                self.sets[act["code"]].loads.remove(known[-1])
        elif name == "start-load":
            known[-1].began = at
        elif name == "end-load":
            known[-1].ended = at

    def _on_set(self, name: str, code: str, act: Mapping[str, Any], at: datetime) -> None:
        one = self.sets[code]
        back = name == "look" and act["then"] == "reprocess-set"
        returned = name == "take-back" and not act["whole"]
        if (
            name in _SENT_BACK
            or name in _OPENS_A_RUN
            or back
            or returned
            or (name == "arrive" and not one.done)
        ):
            self.sets[code] = one.started_again()
        elif name in {"put-in-store", "issue"}:
            self._reached(name, code, at)
        else:
            self._at_work(name, code, one, act, at)

    def _at_work(self, name: str, code: str, one: OneSet, act: Mapping[str, Any], at: datetime) -> None:
        if name in {"start-task", "start-station", "finish-task", "finish-station", "pack"}:
            self._on_tasks(name, code, one, act, at)
        elif name in {"look", "look-all"}:
            lines = [act["line"]] if name == "look" else list(self._lines[code])
            one.looked |= {line: act.get("passed", True) or line in one.looked for line in lines}
        elif name in {"count", "count-all"}:
            self._count(name, code, one, act)
        elif name == "hold":
            one.number_of_holds += 1
            one.holds.add(str(one.number_of_holds))
        elif name == "lift-hold":
            one.holds.discard(act["hold"])

    def _on_tasks(self, name: str, code: str, one: OneSet, act: Mapping[str, Any], at: datetime) -> None:
        tasks = {task.id: task for task in self._tasks[code]}
        if name == "start-task":
            one.begun.setdefault(act["task"], at)
        elif name == "finish-task":
            self._finish(one, tasks[act["task"]], at)
        station = act.get("station", "packing" if name == "pack" else "")
        one.packed = one.packed or name == "pack"
        for task in tasks.values():
            if task.station != station or task.is_machine or task.id in one.done:
                continue
            if name == "start-station" and task.at_least_s:
                one.begun.setdefault(task.id, at)
            elif name in {"finish-station", "pack"} and task.is_required:
                self._finish(one, task, at)

    def _count(self, name: str, code: str, one: OneSet, act: Mapping[str, Any]) -> None:
        whole = {line: number for line, (number, _) in self._lines[code].items()}
        for line, number in (act.get("found") or whole).items():
            if name == "count" or (line not in one.counted or one.counted[line][1] != act["station"]):
                one.counted[line] = (number, act["station"])

    def _finish(self, one: OneSet, task: TaskToDo, at: datetime) -> None:
        if task.id in one.done:
            return
        begun = one.begun.get(task.id)
        if task.at_least_s and (begun is None or (at - begun).total_seconds() < task.at_least_s):
            one.too_early.append(task.id)
        one.done[task.id] = at

    def _reached(self, name: str, code: str, at: datetime) -> None:
        if name == "put-in-store":
            self.reached_store.append(code)
        self.wrong += [f"{code}, {name}: {fault}" for fault in self.faults_of(code, at)]

    def faults_of(self, code: str, at: datetime) -> list[str]:
        """What must not be so of a set in store: everything that is undone, held or missing."""
        one = self.sets[code]
        undone = [
            task.id
            for task in self._tasks[code]
            if task.is_required
            and not task.is_machine
            and task.station in _BY_HAND_BEFORE_STORE
            and task.id not in one.done
        ]
        faults = [f"undone: {task}" for task in undone] + [f"too early: {task}" for task in one.too_early]
        needed = {task.station for task in self._tasks[code] if task.is_machine and task.is_required}
        for station in sorted(needed):
            ends = [load for load in one.loads if load.station == station]
            if not any(load.released for load in ends):
                faults.append(f"no released load of the {station}")
        steam = [load for load in one.loads if load.station == "sterilizer"]
        if steam and (steam[-1].ended is None or at < steam[-1].ended + COOLING):
            faults.append("not cooled")
        for line, (number, critical) in self._lines[code].items():
            counted = one.counted.get(line)
            if line not in one.looked:
                faults.append(f"line {line} not looked at")
            if counted is None or counted[1] != "packing":
                faults.append(f"line {line} not counted")
            elif critical and counted[0] < number:
                faults.append(f"critical line {line} is missing")
        if not one.packed:
            faults.append("not packed")
        return faults + [f"held: {hold}" for hold in sorted(one.holds)]
