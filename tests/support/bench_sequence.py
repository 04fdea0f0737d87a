"""Sequences of requests at the bench over HTTP, drawn from a seed: mostly the next right thing, often not."""

from __future__ import annotations

import copy
import functools
import random
from datetime import datetime, timedelta
from typing import Any, Final

from sinkside.bench.plan import Plan
from sinkside.desk import sets
from sinkside.desk.bench import copies
from sinkside.desk.bench.plans import plan_for
from sinkside.desk.cycle_records import open_cycle
from sinkside.records import Wanted
from sinkside.sets import Member, SetDocument
from support.bench_house import CODES, BenchHouse, bench_house
from support.bench_walk import TaskToDo, Walk
from support.browserless import Caller, signed_in
from support.desk_visit import app_over
from support.load_house import tape

#: A set of one tube, whose only line is critical, beside sets of two.
SINGLE: Final = "SET-9"
ALL: Final = (*CODES[:2], SINGLE)
STATIONS: Final = ("sink", "bench", "packing", "sterilizer", "washer", "store")
MACHINES: Final = {"washer-1": "Instruments 90", "sterilizer-1": "134 °C, 3 min"}
TAPS: Final = "/api/at/north/bench/taps"
_IDLE: Final = timedelta(minutes=5)


@functools.cache
def _house() -> BenchHouse:
    made = bench_house()
    lena, archive = made.house.visitor("lena"), made.house.archive
    members = (Member(instruction=made.instruction, name="suction tube"),)
    document = SetDocument(name="Single tube", members=members, packaging="pouch")
    key = sets.make_set(archive, lena, document, now=made.now)
    copies.add_copy(archive, lena, key, code=SINGLE, now=made.now)
    return made


def _plans(bench: BenchHouse) -> dict[str, Plan]:
    lena = bench.house.visitor("lena")
    with bench.house.archive.unit() as unit:
        found = {}
        for code in ALL:
            of = unit.bench.copies.by_code("north", code)
            assert of is not None
            found[code] = plan_for(unit, lena, of.of, now=bench.now)[1]
    return found


class Sequence:
    """One sequence of requests by four people, drawn from a seed: mostly the next thing, often another."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)  # noqa: S311 # repeatable
        self.bench = copy.deepcopy(_house())
        self.plans = _plans(self.bench)
        self.app = app_over(self.bench.house)
        self.callers: dict[str, tuple[Caller, datetime]] = {}
        self.steps = 0
        self.done: list[str] = []
        self.walk = Walk(
            tasks={
                code: tuple(
                    TaskToDo(
                        one.id,
                        one.station.value,
                        one.action.value,
                        one.at_least_s,
                        bool(one.machine),
                        one.required,
                    )
                    for one in plan.tasks
                )
                for code, plan in self.plans.items()
            },
            lines={
                code: {one.id: (one.expected, one.critical) for one in plan.lines}
                for code, plan in self.plans.items()
            },
            stations={"washer-1": "washer", "sterilizer-1": "sterilizer"},
        )
        self._walked = 0

    def go(self, steps: int) -> None:
        """So many requests, the record book walked along."""
        for _ in range(steps):
            self.steps += 1
            kind = self.chance.random()
            if kind < 0.70:
                self._next_thing(self.chance.choice(ALL))
            elif kind < 0.88:
                self._anything()
            elif kind < 0.94:
                self.bench.later(self.chance.choice((1, 5, 11, 31)))
            else:
                self._decide_anything()
        self._walk_along()

    def _caller(self, name: str) -> Caller:
        """Somebody who is signed in, anew where the clock of the sequence has run past their last request."""
        now = self.bench.house.now = self.bench.now
        known = self.callers.get(name)
        if known is None or now - known[1] > _IDLE:
            known = (signed_in(self.app, self.bench.house.archive, name, now=now), now)
        self.callers[name] = (known[0], now)
        return known[0]

    def tap(self, name: str, act: dict[str, Any]) -> str:
        """One tap over HTTP; what came of it."""
        number = next(self.bench.numbers)
        one: dict[str, Any] = {"key": f"seq-{number:07}", "at": self.bench.now.isoformat(), "act": act}
        if self.chance.random() < 0.03 and self.done:
            one["key"] = self.chance.choice(self.done)
        answer = self._caller(name).ask("POST", TAPS, json={"taps": [one]})
        if answer.status_code != 200:
            assert answer.status_code in {403, 409}, answer.text
            return "refused"
        tapped = answer.json()["tapped"][0]
        if tapped["outcome"] == "done":
            self.done.append(one["key"])
        return str(tapped["outcome"])

    def _state(self, code: str) -> str:
        with self.bench.house.archive.unit(writes=False) as unit:
            known = unit.bench.copies.by_code("north", code)
            assert known is not None
            return known.state

    def _next_thing(self, code: str) -> None:
        """What somebody would do next with a set, by how it stands; people of both kinds do it."""
        who = self.chance.choice(("tom", "tom", "tom", "tia"))
        state = self._state(code)
        waits_for = {"in-sterilizer": "sterilizer-1", "in-washer": "washer-1"}.get(state)
        if waits_for and self.chance.random() < 0.5:
            self._decide(waits_for)
        acts: dict[str, list[dict[str, Any]]] = {
            "in-use": [{"act": "arrive"}],
            "soiled": [{"act": "take-up"}],
            "at-sink": [
                {"act": "start-station", "station": "sink"},
                {"act": "finish-station", "station": "sink"},
                {"act": "add-to-load", "machine": "washer-1"},
            ],
            "in-washer": [{"act": "to-clean-side"}],
            "clean-side": [
                {"act": "look-all"},
                {"act": "finish-station", "station": "bench"},
                {"act": "count-all", "station": "packing"},
            ],
            "packing": [{"act": "count-all", "station": "packing"}, {"act": "pack"}],
            "packed": [{"act": "add-to-load", "machine": "sterilizer-1"}],
            "sterilized": [{"act": "put-in-store", "place": "rack 1"}],
            "in-store": [{"act": "issue", "case": "C-1183", "whole": True}],
            "issued": [{"act": "take-back", "whole": True}, self._use()],
            "held": [{"act": "lift-hold", "hold": "1", "why": "looked at it"}],
        }
        act = self.chance.choice(acts.get(state, [{"act": "pause"}]))
        who = {"lift-hold": "lena", "report-use": "nora", "put-in-store": "lena", "issue": "lena"}.get(
            act["act"], who
        )
        if act["act"] == "add-to-load":
            self._open(act["machine"])
        if act["act"] == "take-back":
            who = "lena"
        outcome = self.tap(who, {**act, "code": code})
        if act["act"] == "start-station":
            self.bench.later(self.chance.choice((3, 11)))
        if act["act"] == "add-to-load" and outcome == "done" and self.chance.random() < 0.7:
            self._run(act["machine"])

    def _use(self) -> dict[str, Any]:
        return {"act": "report-use", "case": "C-1183", "last_used": self.bench.now.isoformat()}

    def _open(self, machine: str) -> None:
        rack = {"rack": "rack-trays"} if machine.startswith("washer") else {}
        self.tap("tom", {"act": "open-load", "machine": machine, "program": MACHINES[machine], **rack})

    def _run(self, machine: str) -> None:
        self.tap("tom", {"act": "start-load", "machine": machine})
        self.bench.later(46)
        self.tap("tom", {"act": "end-load", "machine": machine, "complete": self.chance.random() < 0.95})
        if self.chance.random() < 0.85:
            self._decide(machine)
        if self.chance.random() < 0.8:
            self.bench.later(31)

    def _loads(self, machine: str) -> list[Any]:
        with self.bench.house.archive.unit(writes=False) as unit:
            return unit.bench.loads.of_machine(
                "north", machine, since=self.bench.house.now.replace(year=2000)
            )

    def _decide_anything(self) -> None:
        self._decide(self.chance.choice(tuple(MACHINES)))

    def _decide(self, machine: str) -> None:
        known = self._loads(machine)
        if not known:
            return
        load = self.chance.choice(known[-2:])
        decided = "released" if self.chance.random() < 0.75 else "held"
        caller = self._caller(self.chance.choice(("lena", "lena", "lena", "tom")))
        if machine.startswith("washer"):
            told = {
                "decided": decided,
                "read": "92 °C for 5 min on the display",
                "reason": "no recorder at this washer",
            }
            caller.post(f"/at/north/bench/loads/{load.id}/decision", told)
            return
        if not load.cycle:
            files = [("files", (tape().name, tape().data, "text/csv"))]
            caller.ask(
                "POST", f"/at/north/bench/loads/{load.id}/record", data={"csrf": caller.csrf}, files=files
            )
            load = next(one for one in self._loads(machine) if one.id == load.id)
        if load.cycle:
            seen = open_cycle(self.bench.house.archive, self.bench.house.visitor("lena"), load.cycle)
            told = {
                "decided": decided,
                "verdict_revision": str(seen.verdict_revision),
                "seen": str(len(seen.decisions)),
                "reason": "looked at the record and the packs",
            }
            caller.post(f"/at/north/cycles/{load.cycle}/decision", told)

    def _anything(self) -> None:
        """Some act with some fields, by somebody, right or wrong."""
        code = self.chance.choice((*ALL, "SET-404"))
        tasks = [one.id for one in self.plans.get(code, self.plans[ALL[0]]).tasks]
        draw = self.chance.choice
        acts: list[dict[str, Any]] = [
            {"act": "take-up"},
            {"act": "to-clean-side"},
            {"act": "to-packing"},
            {"act": "arrive"},
            {"act": "start-task", "task": draw(tasks)},
            {
                "act": "finish-task",
                "task": draw(tasks),
                "times": draw((0, 3, 9)),
                "seen": draw((True, False)),
            },
            {"act": "finish-station", "station": draw(STATIONS)},
            {"act": "start-station", "station": draw(STATIONS)},
            {"act": "deviate", "task": draw(("", *tasks)), "what": "otherwise", "reason": "so"},
            {"act": "look", "line": "1", "passed": True},
            {"act": "look", "line": "1", "passed": False, "fault": "soil", "then": "reprocess-set"},
            {
                "act": "look",
                "line": "1",
                "passed": False,
                "fault": "bent",
                "then": draw(("repair", "replace")),
            },
            {"act": "count", "station": draw(("sink", "packing")), "found": {"1": draw((0, 1, 2))}},
            {"act": "count-all", "station": draw(("sink", "packing"))},
            {"act": "pack"},
            {"act": "send-back", "reason": "dropped"},
            {"act": "hold", "why": "asked"},
            {"act": "lift-hold", "hold": draw(("1", "2")), "why": "answered"},
            {"act": "put-in-store", "place": "rack 2"},
            {"act": "issue", "case": "C-1183", "whole": draw((True, False))},
            {"act": "take-back", "whole": draw((True, False))},
            {"act": "pack-mishap", "what": draw(("dropped", "torn", "wet"))},
            {"act": "soil-found", "where": "lumen"},
            {"act": "add-to-load", "machine": draw(tuple(MACHINES))},
            self._use(),
        ]
        self.tap(draw(("tom", "tia", "lena", "nora")), {**draw(acts), "code": code})

    def _walk_along(self) -> None:
        ids = {
            load.id: (machine, number)
            for machine in MACHINES
            for number, load in enumerate(self._loads(machine))
        }
        with self.bench.house.archive.unit(writes=False) as unit:
            wanted = Wanted(kinds=("tapped", "load-decided"), limit=1_000_000)
            events = [one for one in unit.journal.events("north", wanted) if one.sequence > self._walked]
        events.sort(key=lambda one: one.sequence)
        self._walked = events[-1].sequence if events else self._walked
        self.walk.through(events, ids)

    def standing_wrong(self) -> list[str]:
        """What is in store by now, and by the record book must not be."""
        return [
            f"{code}: {fault}"
            for code in ALL
            if self._state(code) == "in-store"
            for fault in self.walk.faults_of(code, self.bench.now)
        ]
