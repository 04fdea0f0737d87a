"""Records of tracing: by what runs may be touched, and what was found to be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class ByMachine:
    """Whatever lay in loads that machines began from a moment on and before another; of a program, if any."""

    machines: frozenset[str]
    since: datetime
    before: datetime
    program: str = ""


@dataclass(frozen=True)
class ByLoad:
    """Whatever lay in some loads that were begun."""

    loads: frozenset[str]


@dataclass(frozen=True)
class ByText:
    """Runs, opened in a stretch of time, that follow a revision of an instruction; 0: any of it."""

    instruction: str
    revision: int
    since: datetime
    before: datetime


@dataclass(frozen=True)
class ByCopy:
    """Runs that some copies were on at any moment of a stretch of time."""

    copies: frozenset[str]
    since: datetime
    before: datetime


@dataclass(frozen=True)
class ByPerson:
    """Runs on which somebody did something in a stretch of time; `stood`: only if they stood so then."""

    person: str
    since: datetime
    before: datetime
    stood: frozenset[str] = frozenset()


@dataclass(frozen=True)
class ByStanding:
    """Runs that stood in some way at any moment of some stretches of time, each with its begin and end."""

    stood: frozenset[str]
    windows: tuple[tuple[datetime, datetime], ...]


Touching = ByMachine | ByLoad | ByText | ByCopy | ByPerson | ByStanding


@dataclass(frozen=True)
class TracedRun:
    """A run that something touched: when first, and in which load; and where its copy is now.

    `is_its_last` says whether the copy is still on that run, or was processed again since.
    """

    run: str
    at: datetime
    copy: str
    code: str
    name: str
    state: str
    place: str
    is_its_last: bool
    load: str = ""


@dataclass(frozen=True)
class TracedCase:
    """A case that got what a run made ready: reserved, issued or used there."""

    run: str
    number: str
    room: str
    begins: datetime
    state: str


@dataclass(frozen=True)
class TracedSum:
    """How much was touched, and the runs that matter first.

    Attributes:
        runs: how many runs.
        copies: how many copies they were of.
        loads: in how many loads they were touched.
        cases: in how many cases what they made ready was used.
        standing: every run whose copy is still on it, or away.
        passed: the first runs that other runs of their copies followed, by when they were touched.
        of_codes: every run of the copies that were asked for by code.
    """

    runs: int
    copies: int
    loads: int
    cases: int
    standing: tuple[TracedRun, ...]
    passed: tuple[TracedRun, ...]
    of_codes: tuple[TracedRun, ...]
