"""Forty benches at one tap a second each, then while the house is killed: part of `make bench`.

Each bench is a tablet's queue: it numbers its taps, sends the next once the last was acknowledged, and sends
again, with the same key, what was not. Then every tap must be there once, in its order, in the table and
in the record book, whose chain must hold.

    python tools/bench_taps.py [--benches N] [--seconds S] [--kills K] [--seed N]
"""

from __future__ import annotations

import argparse
import json
import os
import random
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.client import HTTPConnection, HTTPException
from pathlib import Path
from statistics import quantiles

from sinkside import wiring
from sinkside.demo.house import VALLEY, fill_house
from sinkside.desk import sets
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.bench import copies
from sinkside.desk.passwords import new_token, token_digest
from sinkside.desk.ports import Archive
from sinkside.desk.shelf import shelf
from sinkside.records import Session, Wanted
from sinkside.sets import Member, SetDocument

ACKNOWLEDGED_BAR_S = 0.150
_TIMEOUT_S = 30.0
_STARTS_WITHIN_S = 90.0
_PAUSE_S = 0.25
_PATH = f"/api/at/{VALLEY.id}/bench/taps"

#: What a bench taps in turn, once its set is taken up.
_ACTS = (
    {"act": "pause", "note": "set down"},
    {"act": "take-up"},
    {"act": "deviate", "what": "water colder than written", "reason": "boiler out"},
)


@dataclass
class Bench:
    """One tablet: its queue, the code of its set, what it sent and how long each acknowledgement took."""

    name: str
    code: str
    cookie: str
    csrf: str
    sent: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    resent: int = 0
    surprises: list[str] = field(default_factory=list)

    def tap(self, port: int, number: int, until: float) -> None:
        """Send the next tap until it is acknowledged."""
        key = f"{self.name}-{number:06}"
        act = {"act": "arrive"} if number == 1 else _ACTS[(number + 1) % len(_ACTS)]
        tap = {
            "key": key,
            "bench": self.name,
            "number": number,
            "at": datetime.now(UTC).isoformat(),
            "act": {**act, "code": self.code},
        }
        body = json.dumps({"taps": [tap]})
        began = time.perf_counter()
        while not self._acknowledged(port, body):
            self.resent += 1
            if time.perf_counter() > until:
                self.surprises.append(f"{key} was never acknowledged")
                return
            time.sleep(_PAUSE_S)
        self.seconds.append(time.perf_counter() - began)
        self.sent.append(key)

    def _acknowledged(self, port: int, body: str) -> bool:
        connection = HTTPConnection("127.0.0.1", port, timeout=_TIMEOUT_S)
        headers = {"Cookie": self.cookie, "Content-Type": "application/json", "X-CSRF-Token": self.csrf}
        try:
            connection.request("POST", _PATH, body, headers)
            answer = connection.getresponse()
            told = answer.read()
        except (OSError, HTTPException):
            return False
        finally:
            connection.close()
        if answer.status != 200:
            self.surprises.append(f"{answer.status}: {told[:200]!r}")
            return False
        tapped = json.loads(told)["tapped"][0]
        if tapped["outcome"] != "done":
            self.surprises.append(tapped["said"])
        return True


class House:
    """The house as the command serves it, killed and served again at the same port."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self._process = self._served()

    def _served(self) -> subprocess.Popen[str]:
        command = [sys.executable, "-m", "sinkside", "serve", "--workspace", str(self._folder)]
        with (self._folder.parent / "log").open("ab") as log:
            process = subprocess.Popen(
                [*command, "--port", str(self.port)],
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                env={**os.environ, "PYTHONUNBUFFERED": "1"},
                start_new_session=True,
            )
        assert process.stdout is not None
        end = time.monotonic() + _STARTS_WITHIN_S
        for line in process.stdout:
            if re.match(r"Sinkside is at http", line):
                return process
            if time.monotonic() > end:
                break
        raise SystemExit("the house was not served")

    def kill(self) -> None:
        """Kill every process of it at once, and serve it again."""
        self._end(signal.SIGKILL)
        self._process = self._served()

    def stop(self) -> None:
        """Stop it."""
        self._end(signal.SIGTERM)

    def _end(self, how: signal.Signals) -> None:
        os.killpg(self._process.pid, how)
        self._process.wait(30)
        if self._process.stdout is not None:
            self._process.stdout.close()


def fill(folder: Path, benches: int) -> list[Bench]:
    """A demo house, if there is none, with a set for each bench and a technician signed in at each."""
    is_new = not wiring.is_workspace(folder)
    if is_new:
        wiring.make_workspace(folder)
    archive = wiring.open_workspace(folder)
    now = wiring.now()
    if is_new:
        fill_house(archive, now=now)
    lead, technician = _visitor(archive, "lead"), _visitor(archive, "technician")
    tube = next(one for one in shelf(archive, lead) if one.state == "approved")
    document = SetDocument(name="Suction set", members=(Member(instruction=tube.id, name="suction tube"),))
    key = sets.make_set(archive, lead, document, now=now)
    made = []
    for number in range(benches):
        code = f"S-{number + 1}"
        copies.add_copy(archive, lead, key, code=code, now=now)
        token, csrf = new_token(), new_token()
        with archive.unit() as unit:
            unit.people.open_session(Session(token_digest(token), technician.person, now, now, csrf))
        made.append(Bench(f"bench-{number + 1}", code, f"sinkside_session={token}", csrf))
    return made


def _visitor(archive: Archive, name: str) -> Visitor:
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in(name)
        assert person is not None
        return visitor_in(unit, person.id, VALLEY.id, wiring.now())


def tap_along(house: House, benches: list[Bench], *, seconds: float, seed: int) -> None:
    """Every bench taps once a second, each from its own moment on."""
    chance = random.Random(seed)
    began = time.perf_counter()
    offsets = [chance.random() for _ in benches]

    def go(bench: Bench, offset: float) -> None:
        first = len(bench.sent) + 1
        for turn in range(int(seconds)):
            time.sleep(max(0.0, began + offset + turn - time.perf_counter()))
            bench.tap(house.port, first + turn, began + seconds + _STARTS_WITHIN_S)

    threads = [threading.Thread(target=go, args=pair) for pair in zip(benches, offsets, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def faults_of(folder: Path, benches: list[Bench]) -> list[str]:
    """What is lost, doubled or out of order, in the table of taps and in the record book."""
    archive = wiring.open_workspace(folder)
    events: dict[str, list[str]] = {bench.name: [] for bench in benches}
    with archive.unit(writes=False) as unit:
        before: int | None = None
        while found := unit.journal.events(VALLEY.id, Wanted(kinds=("tapped",), before=before, limit=1000)):
            for event in found:
                key = str(event.data["key"])
                if key.rpartition("-")[0] in events:
                    events[key.rpartition("-")[0]].insert(0, key)
            before = found[-1].sequence
        last = {bench.name: unit.bench.taps.last_number(VALLEY.id, bench.name) for bench in benches}
    faults = [
        f"{bench.name}: {events[bench.name][:3]}…" for bench in benches if events[bench.name] != bench.sent
    ]
    faults += [
        f"{bench.name}: {last[bench.name]} numbered, {len(bench.sent)} acknowledged"
        for bench in benches
        if last[bench.name] != len(bench.sent)
    ]
    report = wiring.check(folder)
    return [*faults, *(str(problem) for problem in report.problems)]


def main() -> None:
    """Measure, kill, and print every figure."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--benches", type=int, default=40)
    asked.add_argument("--seconds", type=float, default=60.0)
    asked.add_argument("--kills", type=int, default=5)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "house"
        benches = fill(folder, given.benches)
        house = House(folder)
        tap_along(house, benches, seconds=3, seed=given.seed)
        for bench in benches:
            bench.seconds.clear()
        tap_along(house, benches, seconds=given.seconds, seed=given.seed)
        quiet = sorted(second for bench in benches for second in bench.seconds)
        kill_meanwhile(house, benches, seconds=given.seconds, kills=given.kills, seed=given.seed)
        house.stop()
        faults = faults_of(folder, benches)
    _tell(quiet, benches, faults, kills=given.kills)


def kill_meanwhile(house: House, benches: list[Bench], *, seconds: float, kills: int, seed: int) -> None:
    """Every bench taps along while the house is killed at random moments, and served again."""
    chance = random.Random(seed)
    told = {"seconds": seconds if kills else 0.0, "seed": seed + 1}
    tapping = threading.Thread(target=tap_along, args=(house, benches), kwargs=told)
    tapping.start()
    for _ in range(kills):
        time.sleep(chance.uniform(0.5, 1.5) * seconds / (kills + 1))
        house.kill()
    tapping.join()


def _tell(quiet: list[float], benches: list[Bench], faults: list[str], *, kills: int) -> None:
    cuts = [1000 * cut for cut in quantiles(quiet, n=100)]
    bar = 1000 * ACKNOWLEDGED_BAR_S
    word = "within" if cuts[94] <= bar else "ABOVE"
    print(
        f"benches, {len(benches)} at one tap a second, {len(quiet)} acknowledged: p50 {cuts[49]:.0f} ms, "
        f"p95 {cuts[94]:.0f} ms, p99 {cuts[98]:.0f} ms; {word} the bar of {bar:.0f} ms"
    )
    sent, resent = sum(len(one.sent) for one in benches), sum(one.resent for one in benches)
    print(f"  {sent} taps in all, {resent} sent again over {kills} kills")
    print(f"  lost, doubled or out of order: {len(faults)}")
    for surprise in [*faults, *(one for bench in benches for one in bench.surprises)][:8]:
        print(f"  not as expected: {surprise}")


if __name__ == "__main__":
    main()
