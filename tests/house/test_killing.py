"""Kill -9 of a served house while people upload, edit, decide and report: what was acknowledged is there."""

from __future__ import annotations

import hashlib
import itertools
import os
import random
import signal
import threading
import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import timedelta
from http.client import HTTPException
from pathlib import Path

import pytest

from sinkside import wiring
from sinkside.archive import check, open_archive
from sinkside.desk import cycle_records, shelf
from sinkside.desk.access import visitor_in
from sinkside.desk.cycle_handing_in import Ran, hand_in_cycles
from sinkside.desk.deviations.kept import KIND as DEVIATION
from sinkside.desk.jobs import work_once
from sinkside.desk.ports import Unit
from sinkside.desk.uploads import Upload
from sinkside.journal import Event
from sinkside.records import Wanted
from support.command import SAMPLES, Sinkside
from support.figures import Figure
from support.served import Guest, all_gone, guest, served

AT = "/at/valley"
CLIENTS = 3
SEE_OTHER = 303
CONFLICT = 409


@dataclass
class Client:
    """Somebody who uploads, edits, decides and reports in turn, and what the house acknowledged to them."""

    who: Guest
    name: str
    instruction: str
    steps: Sequence[str]
    cycle: str
    files: list[str] = field(default_factory=list)
    accepted: list[str] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)
    reports: list[str] = field(default_factory=list)
    seen: int = 0
    turns: itertools.count[int] = field(default_factory=itertools.count)
    started: threading.Event = field(default_factory=threading.Event)

    @property
    def acknowledged(self) -> int:
        """How many writes were acknowledged."""
        return len(self.files) + len(self.accepted) + len(self.reasons) + len(self.reports)

    def write_until_killed(self, port: int) -> None:
        """One write after the other until nobody answers any more."""
        with suppress(OSError, HTTPException):
            for number in self.turns:
                (self._upload, self._edit, self._decide, self._report)[number % 4](port, number)
                self.started.set()

    def _upload(self, port: int, number: int) -> None:
        data = f"1. Rinse {self.name} for {number + 1} min.\n".encode()
        path = f"{AT}/instructions/new"
        status, _ = self.who.send_file(port, path, field="document", name="ifu.txt", data=data)
        assert status == SEE_OTHER
        self.files.append(hashlib.sha256(data).hexdigest())

    def _edit(self, port: int, _number: int) -> None:
        """Confirm the next step; a write that was made but not acknowledged shows as another revision."""
        done = len(self.accepted)
        if done == len(self.steps):
            return
        step, base = self.steps[done], done + 1
        path = f"{AT}/instructions/{self.instruction}/steps/{step}/accept"
        status, _ = self.who.post(port, path, {"base": base})
        assert status in {SEE_OTHER, CONFLICT}
        self.accepted.append(step)

    def _decide(self, port: int, number: int) -> None:
        for decided in ("held", "released"):
            reason = f"{self.name} {number} {decided}"
            status = self._decided(port, {"decided": decided, "verdict_revision": 1, "reason": reason})
            # What a kill left unacknowledged may stand already; the same decision twice is refused.
            assert status in {SEE_OTHER, 422}
            if status == SEE_OTHER:
                self.reasons.append(reason)
                self.seen += 1

    def _report(self, port: int, number: int) -> None:
        """Report a torn wrap, as theatre does."""
        words = f"{self.name} {number} torn"
        status, _ = self.who.post(port, f"{AT}/deviations/new", {"fault": "torn-wrap", "words": words})
        assert status == SEE_OTHER
        self.reports.append(words)

    def _decided(self, port: int, form: dict[str, object]) -> int:
        """Decide on what was seen; look again where a decision stands that nobody acknowledged."""
        path = f"{AT}/cycles/{self.cycle}/decision"
        status, _ = self.who.post(port, path, {**form, "seen": self.seen})
        if status == CONFLICT:
            self.seen += 1
            status, _ = self.who.post(port, path, {**form, "seen": self.seen})
        return status


def _clients(house: Path) -> list[Client]:
    """Each with an instruction and a cycle of their own."""
    archive = wiring.open_workspace(house)
    with archive.unit(writes=False) as unit:
        lead = unit.people.by_sign_in("lead")
        assert lead is not None
        who = visitor_in(unit, lead.id, "valley", wiring.now())
    while work_once(archive, wiring.job_handlers(), worker="test", clock=wiring.now):
        pass
    record = Upload("r-009.csv", "text/csv", (SAMPLES / "traces" / "r-009.csv").read_bytes())
    kept = hand_in_cycles(
        archive, who, [record] * CLIENTS, ran=Ran("sterilizer-1", "132 °C, 4 min"), now=wiring.now()
    )
    drafted = [row for row in shelf.shelf(archive, who) if row.fields.get("revision") == 1]
    return [
        Client(guest(archive, "lead"), f"n{number}", row.id, _steps(house, row.id), cycle)
        for number, (row, cycle) in enumerate(zip(drafted, kept.cycles, strict=True))
    ]


def _steps(house: Path, instruction: str) -> list[str]:
    archive = wiring.open_workspace(house)
    with archive.unit(writes=False) as unit:
        row = unit.rows.get(shelf.KIND, instruction)
        assert row is not None
        return [step.id for step in shelf.opened(unit, row).instruction.steps]


def _serve_and_kill(house: Path, clients: Sequence[Client], *, after_s: float) -> None:
    """Serve, let everybody write, and kill the web and the worker at once."""
    with served(house) as serving:
        writing = [
            threading.Thread(target=one.write_until_killed, args=(serving.port,), daemon=True)
            for one in clients
        ]
        for one in clients:
            one.started.clear()
        for thread in writing:
            thread.start()
        assert all(one.started.wait(60) for one in clients)
        time.sleep(after_s)
        os.killpg(serving.process.pid, signal.SIGKILL)
        for thread in writing:
            thread.join(60)
        assert not any(thread.is_alive() for thread in writing)
    assert all_gone(serving.process.pid)


def _assert_all_is_there(house: Path, clients: Sequence[Client]) -> None:
    archive = open_archive(house)
    with archive.unit(writes=False) as unit:
        events = unit.journal.events("valley", Wanted(limit=100_000))
        handed_in = {event.data.get("file") for event in events if event.kind == "document-handed-in"}
        for one in clients:
            for digest in one.files:
                assert digest in handed_in
                assert unit.files.read(digest)
            edits = [
                event
                for event in events
                if event.kind == "step-accepted" and event.subject == f"instruction:{one.instruction}"
            ]
            assert {step for event in edits for step in _listed(event, "steps")} >= set(one.accepted)
            revisions = unit.documents.revisions(cycle_records.DECISION, one.cycle)
            assert {
                reason for reason in one.reasons if any(reason in kept.body for kept in revisions)
            } == set(one.reasons)
        assert _not_reported(unit, [words for one in clients for words in one.reports]) == []
    archive.sweep(wiring.now() + timedelta(days=2))
    archive.close()
    report = check(house)
    assert report.problems == []
    assert report.unnamed_files == 0


def _not_reported(unit: Unit, said: Sequence[str]) -> list[str]:
    """Reports that were acknowledged and stand in no document."""
    rows = unit.rows.all(DEVIATION, ["valley"], limit=100_000)
    bodies = [kept.body for row in rows for kept in unit.documents.revisions(DEVIATION, row.id)]
    return [words for words in said if not any(words in body for body in bodies)]


def _listed(event: Event, name: str) -> list[str]:
    """A list in the data of an event."""
    found = event.data[name]
    assert isinstance(found, list)
    return [str(one) for one in found]


def _kill_again_and_again(house: Path, *, times: int, seed: int) -> list[int]:
    """How many writes were acknowledged before each kill; after each, all of them so far were there."""
    chance = random.Random(seed)  # noqa: S311 # when to kill is no secret
    clients = _clients(house)
    acknowledged = []
    for _ in range(times):
        before = sum(one.acknowledged for one in clients)
        _serve_and_kill(house, clients, after_s=chance.uniform(0, 0.4))
        acknowledged.append(sum(one.acknowledged for one in clients) - before)
        _assert_all_is_there(house, clients)
    return acknowledged


def test_a_killed_house_keeps_what_it_acknowledged(house: Path, sinkside: Sinkside) -> None:
    """Two kills while three people write all of that; the last workspace passes `sinkside check`."""
    assert all(_kill_again_and_again(house, times=2, seed=1))
    checked = sinkside("check", "--workspace", str(house))
    assert checked.status == 0, checked.out


@pytest.mark.long
def test_a_house_killed_often_keeps_what_it_acknowledged(house: Path, figure: Figure) -> None:
    """Forty kills of the same house."""
    acknowledged = _kill_again_and_again(house, times=40, seed=2)
    assert all(acknowledged)
    figure(f"40 kills, {sum(acknowledged):,} acknowledged writes, none lost")
