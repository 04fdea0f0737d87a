"""A morning at the benches of the demo house: sets in store, soiled, soaking, washed; and cases to come."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any, Final

from sinkside.bench.cases import PlannedCase
from sinkside.bench.tap import Tap
from sinkside.cycles import simulate, write_recorder_file
from sinkside.desk import cycle_deciding, cycle_records, sets
from sinkside.desk.access import Visitor
from sinkside.desk.bench import cases, copies, load_deciding
from sinkside.desk.bench.runs import copy_of_code, run_of
from sinkside.desk.bench.tapping import tap
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Archive
from sinkside.desk.uploads import Upload
from sinkside.errors import SinksideError
from sinkside.route import Station
from sinkside.sets import Member, SetDocument

NAME: Final = "Sinus suction set"
CODES: Final = ("SUC-01", "SUC-02", "SUC-03", "SUC-04", "SUC-05")
_WASHER: Final = ("washer-1", "Instruments 90", "rack-trays")
_STERILIZER: Final = ("sterilizer-1", "134 °C, 5 min", "")


@dataclass
class _Morning:
    """Who works, and the clock of the morning."""

    archive: Archive
    lead: Visitor
    technician: Visitor
    theatre: Visitor
    now: datetime
    keys: Any

    def later(self, minutes: float) -> None:
        self.now += timedelta(minutes=minutes)

    def tap(self, who: Visitor, **act: Any) -> None:
        one = Tap.model_validate({"key": f"demo-{next(self.keys):05}", "at": self.now, "act": act})
        answer = tap(self.archive, who, [one], now=self.now)[0]
        if answer.outcome != "done":
            raise SinksideError(f"the demo's bench: {answer.said}", resource=str(act))

    def by_hand(self, code: str, station: Station) -> None:
        """Every task of a station, one by one, each as long and as often as its text says."""
        with self.archive.unit(writes=False) as unit:
            plan = run_of(unit, copy_of_code(unit, self.lead.department, code)).plan
        tasks = [one for one in plan.at(station) if one.required]
        for task in tasks:
            if task.at_least_s:
                self.tap(self.technician, act="start-task", code=code, task=task.id)
                self.later(task.at_least_s / 60)
            done = {"times": task.times, "seen": bool(task.until)}
            self.tap(self.technician, act="finish-task", code=code, task=task.id, **done)
            self.later(1)

    def load(self, codes: Sequence[str], machine: tuple[str, str, str], minutes: float) -> str:
        """A load from built to ended; its id."""
        name, program, rack = machine
        self.tap(self.technician, act="open-load", machine=name, program=program, rack=rack)
        for code in codes:
            self.tap(self.technician, act="add-to-load", machine=name, code=code)
        self.tap(self.technician, act="start-load", machine=name)
        self.later(minutes)
        self.tap(self.technician, act="end-load", machine=name, complete=True)
        with self.archive.unit(writes=False) as unit:
            opened = run_of(unit, copy_of_code(unit, self.lead.department, codes[0]))
        return opened.run.loads[-1].load


def fill_bench(
    archive: Archive, lead: Visitor, technician: Visitor, theatre: Visitor, *, tube: str, now: datetime
) -> None:
    """Keep the suction set, five of it, and what happened to them this morning.

    Args:
        archive: where it is kept.
        lead: who decides.
        technician: who works.
        theatre: who reports.
        tube: the id of the approved instruction of the suction tube.
        now: the moment at which the morning ends.
    """
    morning = _Morning(archive, lead, technician, theatre, now - timedelta(hours=7), count(1))
    members = (Member(instruction=tube, name="suction tube 3.5 mm", count=2),)
    document = SetDocument(name=NAME, members=members, packaging="pouch")
    key = sets.make_set(archive, lead, document, now=morning.now)
    for code in CODES:
        copies.add_copy(archive, lead, key, code=code, name=f"{NAME} {code[-2:]}", now=morning.now)
    _cases(morning, key, now)
    _into_store(morning, CODES[:2])
    morning.now = max(morning.now, now - timedelta(minutes=75))
    _used(morning, CODES[2], "C-4402", minutes_ago=20)
    _at_the_sink(morning, CODES[2])
    morning.load([CODES[2]], _WASHER, 35)
    morning.now = now - timedelta(minutes=12)
    _used(morning, CODES[3], "C-4403", minutes_ago=15)
    morning.tap(technician, act="take-up", code=CODES[3])
    _soaking(morning, CODES[3])
    _used(morning, CODES[4], "C-4404", minutes_ago=50)


def _cases(morning: _Morning, key: str, now: datetime) -> None:
    for number, (room, hours) in enumerate((("1", 3), ("2", 5), ("1", 20), ("3", 22)), start=4405):
        begins = (now + timedelta(hours=hours)).replace(minute=0, second=0, microsecond=0)
        planned = PlannedCase(number=f"C-{number}", room=room, begins=begins, sets=(key,))
        cases.plan_case(morning.archive, morning.lead, planned, now=morning.now)


def _used(morning: _Morning, code: str, case: str, *, minutes_ago: float) -> None:
    used = morning.now - timedelta(minutes=minutes_ago)
    morning.tap(
        morning.theatre, act="report-use", code=code, case=case, last_used=used.isoformat(), treated=True
    )


def _at_the_sink(morning: _Morning, code: str) -> None:
    morning.tap(morning.technician, act="take-up", code=code)
    morning.by_hand(code, Station.sink)


def _soaking(morning: _Morning, code: str) -> None:
    with morning.archive.unit(writes=False) as unit:
        plan = run_of(unit, copy_of_code(unit, morning.lead.department, code)).plan
    timed = next(one for one in plan.at(Station.sink) if one.at_least_s)
    morning.tap(morning.technician, act="start-task", code=code, task=timed.id)


def _into_store(morning: _Morning, codes: Sequence[str]) -> None:
    """Two sets from theatre into the store: washed, packed, sterilized and released by the lead."""
    for code in codes:
        _used(morning, code, "C-4401", minutes_ago=30)
    for code in codes:
        _at_the_sink(morning, code)
    load = morning.load(codes, _WASHER, 45)
    load_deciding.decide_without_trace(
        morning.archive,
        morning.lead,
        load,
        "released",
        read="90 °C for 5 min on the display",
        reason="the washer's recorder is being repaired",
        now=morning.now,
    )
    for code in codes:
        morning.tap(morning.technician, act="to-clean-side", code=code)
        morning.by_hand(code, Station.bench)
        morning.tap(morning.technician, act="look", code=code, line="1", passed=True)
        morning.tap(morning.technician, act="count-all", code=code)
        morning.tap(morning.technician, act="pack", code=code)
    steam = morning.load(codes, _STERILIZER, 45)
    upload = _recorded(morning)
    cycle = load_deciding.hand_in_for(morning.archive, morning.technician, steam, [upload], now=morning.now)
    known = cycle_records.open_cycle(morning.archive, morning.lead, cycle)
    cycle_deciding.decide(
        morning.archive,
        morning.lead,
        cycle,
        "released",
        verdict_revision=known.verdict_revision,
        reason="indicator and record looked at; the load was what the list says",
        now=morning.now,
    )
    morning.later(40)
    for code in codes:
        morning.tap(morning.lead, act="put-in-store", code=code, place="rack 3, shelf B")


def _recorded(morning: _Morning) -> Upload:
    """What the sterilizer's recorder wrote of a normal cycle of that program."""
    with morning.archive.unit(writes=False) as unit:
        site = department_in(unit, morning.lead.department)
    if site is None:
        raise SinksideError("the demo's department is not there yet")
    machine, program, _ = _STERILIZER
    programs = next(one.programs for one in site.machines if one.id == machine)
    wanted = next(one for one in programs if one.name == program)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "sterilizer-1-morning.csv"
        write_recorder_file(simulate(wanted, "normal", seed=31), file)
        return Upload(file.name, "text/csv", file.read_bytes())
