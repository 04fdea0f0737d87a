"""What the desk asks of whoever keeps the bench: copies, runs, loads, cases and taps."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Protocol

from sinkside.records import (
    CaseSet,
    KeptCase,
    KeptCopy,
    KeptLoad,
    KeptRun,
    KeptTap,
    LoadedCopy,
    PlanText,
    Touching,
    TracedCase,
    TracedRun,
    TracedSum,
    WantedCopies,
)


class Copies(Protocol):
    """What stands where."""

    def put(self, copy: KeptCopy) -> None:
        """Add a copy, or change it.

        Raises:
            Conflict: if another copy here has its code.
        """

    def get(self, copy: str) -> KeptCopy | None:
        """A copy."""

    def by_code(self, department: str, code: str) -> KeptCopy | None:
        """The copy that a scanner's code belongs to."""

    def found(self, department: str, wanted: WantedCopies) -> list[KeptCopy]:
        """The copies that are wanted: what is due first, then by name."""

    def counts(self, department: str) -> dict[str, int]:
        """How many copies stand how."""


class Runs(Protocol):
    """Sets on their way along their route."""

    def put(self, run: KeptRun) -> None:
        """Add a run with version 1, or change it into its next version.

        Raises:
            Conflict: if its version is not the next one: somebody else was quicker.
        """

    def follow(self, text: PlanText) -> None:
        """Keep that a plan follows a revision of an instruction."""

    def get(self, run: str) -> KeptRun | None:
        """A run."""

    def of_copy(self, department: str, copy: str) -> list[KeptRun]:
        """Every run of a copy, the latest first."""

    def with_deviations(
        self, department: str, acts: Collection[str], since: datetime, before: datetime
    ) -> list[KeptRun]:
        """The runs with deviations on which some acts were done in a stretch of time, by when they opened."""


class Loads(Protocol):
    """What machines process at once."""

    def put(self, load: KeptLoad) -> None:
        """Add a load, or change it."""

    def get(self, load: str) -> KeptLoad | None:
        """A load."""

    def of_cycle(self, department: str, cycle: str) -> KeptLoad | None:
        """The load that a cycle's record belongs to."""

    def standing(self, department: str, states: Sequence[str], *, most: int = 200) -> list[KeptLoad]:
        """Loads that stand so, the latest first."""

    def of_machine(self, department: str, machine: str, *, since: datetime) -> list[KeptLoad]:
        """A machine's loads since a moment, the oldest first."""

    def begun(
        self, department: str, machines: Collection[str], since: datetime, before: datetime
    ) -> list[KeptLoad]:
        """The loads that some machines began from a moment on and before another, in their order."""

    def latest_of_machine(
        self, department: str, machine: str, *, before: datetime, most: int
    ) -> list[KeptLoad]:
        """So many of a machine's loads from before a moment, the latest first."""

    def keep_in(self, copy: LoadedCopy) -> None:
        """Keep that a copy lies in a load, or was taken out."""

    def in_load(self, load: str) -> list[LoadedCopy]:
        """What lay in a load, taken out or not, in the order in which it went in."""

    def of_run(self, run: str) -> list[LoadedCopy]:
        """The loads of a run, the oldest first."""

    def of_copy(self, copy: str) -> list[LoadedCopy]:
        """Every load that a copy ever lay in, the oldest first."""


class Cases(Protocol):
    """Operations, by number."""

    def put(self, case: KeptCase) -> None:
        """Add a case, or change it.

        Raises:
            Conflict: if another case here has its number.
        """

    def get(self, case: str) -> KeptCase | None:
        """A case."""

    def by_number(self, department: str, number: str) -> KeptCase | None:
        """The case of a number."""

    def between(self, department: str, since: datetime, before: datetime) -> list[KeptCase]:
        """Cases that begin from a moment on and before another, in their order."""

    def put_set(self, wanted: CaseSet) -> None:
        """Say that a case needs a set, or which copy it got."""

    def strike_sets(self, case: str) -> None:
        """Forget which sets a case needs; what it got already stays."""

    def sets_of(self, *of_cases: str) -> list[CaseSet]:
        """Which sets some cases need, case by case."""

    def of_copy(self, copy: str) -> list[CaseSet]:
        """The cases that a copy was for."""


class Taps(Protocol):
    """Every act at a bench."""

    def keep(self, tap: KeptTap) -> None:
        """Keep a tap, once.

        Raises:
            Conflict: if one with its key is kept.
        """

    def get(self, department: str, key: str) -> KeptTap | None:
        """A tap by its key."""

    def last_number(self, department: str, bench: str) -> int:
        """The number of the last tap of a bench's queue; 0 before the first."""

    def on_copy(self, department: str, copy: str) -> list[KeptTap]:
        """What was done with a copy, the oldest first."""

    def on_run(self, department: str, copy: str, run: str, *, since: datetime) -> list[KeptTap]:
        """What was done with a copy on one of its runs, the oldest first; nothing from before a moment."""

    def refused(self, department: str, *, most: int = 100) -> list[KeptTap]:
        """Taps that were refused, the latest first."""


class Tracing(Protocol):
    """What was touched by what, and where it went."""

    def touched(self, department: str, touchings: Collection[Touching]) -> list[TracedRun]:
        """The runs that are touched in some ways, each once, by the first time that it was."""

    def summed(
        self,
        department: str,
        touchings: Collection[Touching],
        *,
        most: int,
        away: str,
        codes: Collection[str] = (),
    ) -> TracedSum:
        """How much is touched in some ways, and the runs that matter first.

        Args:
            department: where.
            touchings: in which ways.
            most: so many at most of those runs that others of their copies followed.
            away: how a copy stands that is away, and so on no run.
            codes: copies of which every run is told.
        """

    def loads_by_person(
        self, department: str, person: str, since: datetime, before: datetime
    ) -> frozenset[str]:
        """The loads that somebody began, started or took out in a stretch of time."""

    def people(self, department: str) -> list[str]:
        """Whoever ever did something here, by pseudonym."""

    def first_times(self, department: str, act: str, since: datetime, before: datetime) -> list[datetime]:
        """When something was first done on each run on which it was done in a stretch of time, in order."""

    def cases_of(self, of_runs: Collection[str]) -> list[TracedCase]:
        """The cases that got what some runs made ready, by when they began."""


class Bench(Protocol):
    """Everything of the bench."""

    @property
    def copies(self) -> Copies:
        """What stands where."""

    @property
    def runs(self) -> Runs:
        """Sets on their way along their route."""

    @property
    def loads(self) -> Loads:
        """What machines process at once."""

    @property
    def cases(self) -> Cases:
        """Operations, by number."""

    @property
    def taps(self) -> Taps:
        """Every act at a bench."""

    @property
    def tracing(self) -> Tracing:
        """What was touched by what, and where it went."""
