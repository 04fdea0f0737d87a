"""People clicking without pause: a bounded load of requests over loopback, each of them timed."""

from __future__ import annotations

import random
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException, HTTPResponse
from urllib.parse import urlencode

#: Of a hundred clicks: lists, one instruction, writes.
LISTS, INSTRUCTION = 0.7, 0.2

_FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@dataclass(frozen=True)
class Clicker:
    """Somebody signed in: what their requests carry, the lists they open, their instruction and cycle."""

    cookie: str
    csrf: str
    lists: tuple[str, ...]
    instruction: str
    steps: tuple[str, ...]
    cycle: str


@dataclass
class Clicked:
    """Seconds that each kind of click took, and what was answered other than expected."""

    seconds: dict[str, list[float]] = field(
        default_factory=lambda: {"list": [], "instruction": [], "write": []}
    )
    surprises: list[str] = field(default_factory=list)


class _Clicking:
    """One person's clicks, one after the other, on a connection that stays open."""

    def __init__(self, port: int, who: Clicker, seed: int, *, writes: bool) -> None:
        self.who = who
        self._kinds = 1.0 if writes else LISTS + INSTRUCTION
        self.clicked = Clicked()
        self._connection = HTTPConnection("127.0.0.1", port, timeout=30)
        self._chance = random.Random(seed)
        self._revision = 1
        self._accepted = 0
        self._decided = 0
        self._seen = 0

    def go_on_until(self, end: float) -> None:
        """Click until then."""
        while time.perf_counter() < end:
            drawn = self._chance.uniform(0, self._kinds)
            if drawn < LISTS:
                self._get("list", self._chance.choice(self.who.lists))
            elif drawn < LISTS + INSTRUCTION:
                self._get("instruction", self.who.instruction)
            elif self._chance.random() < 0.5 and self._accepted < len(self.who.steps):
                self._accept()
            else:
                self._decide()
        self._connection.close()

    def _get(self, kind: str, path: str) -> None:
        self._time(kind, "GET", path, None, wanted=200)

    def _accept(self) -> None:
        """Say that one more step was read rightly, which makes a revision."""
        step = self.who.steps[self._accepted]
        form: dict[str, object] = {"base": self._revision}
        self._accepted += 1
        self._revision += self._write(f"{self.who.instruction}/steps/{step}/accept", form)

    def _decide(self) -> None:
        """Decide on a cycle, each time otherwise than before."""
        decided = ("held", "released")[self._decided % 2]
        form = {
            "decided": decided,
            "verdict_revision": 1,
            "seen": self._seen,
            "reason": f"reason {self._decided}",
        }
        self._decided += 1
        self._seen += self._write(f"{self.who.cycle}/decision", form)

    def _write(self, path: str, form: dict[str, object]) -> bool:
        body = urlencode({"csrf": self.who.csrf, **form})
        return self._time("write", "POST", path, body, wanted=303)

    def _time(self, kind: str, method: str, path: str, body: str | None, *, wanted: int) -> bool:
        headers = {"Cookie": self.who.cookie, **(_FORM if body is not None else {})}
        began = time.perf_counter()
        try:
            self._connection.request(method, path, body, headers)
            answer: HTTPResponse = self._connection.getresponse()
            answer.read()
        except (OSError, HTTPException) as error:
            self._connection.close()
            self.clicked.surprises.append(f"{method} {path}: {error}")
            return False
        self.clicked.seconds[kind].append(time.perf_counter() - began)
        as_wanted = answer.status == wanted
        if not as_wanted:
            self.clicked.surprises.append(f"{method} {path}: {answer.status}")
        return as_wanted


def click(
    port: int, people: Sequence[Clicker], *, seconds: float, writes: bool = True, seed: int = 1
) -> Clicked:
    """All of them at once, for so many seconds."""
    end = time.perf_counter() + seconds
    clicking = [_Clicking(port, who, seed + number, writes=writes) for number, who in enumerate(people)]
    threads = [threading.Thread(target=one.go_on_until, args=(end,)) for one in clicking]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    together = Clicked()
    for one in clicking:
        for kind, taken in one.clicked.seconds.items():
            together.seconds[kind] += taken
        together.surprises += one.clicked.surprises
    return together
