"""What is known of one run, as values: nothing is worded here, and people go by their pseudonyms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from sinkside.bench.exception_form import ExceptionForm
from sinkside.bench.plan import Plan, Task
from sinkside.bench.run import Done, InLoad, Run
from sinkside.department import Department, Station
from sinkside.desk.approving import Approval
from sinkside.desk.cycle_records import OpenCycle
from sinkside.desk.indicator_documents import Indicator, LoadHeld
from sinkside.desk.indicators_before_release import NeededThing
from sinkside.desk.paper_documents import PaperPlace, PaperPrinted
from sinkside.desk.recall.documents import Recall, Recalled
from sinkside.desk.solution_documents import SinkSolution
from sinkside.instruction import Instruction
from sinkside.journal import Head
from sinkside.records import KeptCase, KeptCopy, KeptLoad, KeptRun, KeptTap, LoadedCopy, Making, Site
from sinkside.route import Route
from sinkside.teach.sign_offs import Level, State


@dataclass(frozen=True)
class TextThen:
    """One text that the run followed, for the members of the set that go by it.

    Attributes:
        id: of the instruction.
        members: what the set calls the devices.
        instruction: the text as it stood.
        made: its revision: number, digest, by whom, when.
        approval: that this revision was approved; none if that is not recorded.
        route: the way it went in the department as that stood; none where that cannot be worked out again.
        now: the revision that is approved now; 0 if none is.
    """

    id: str
    members: tuple[str, ...]
    instruction: Instruction
    made: Making
    approval: Approval | None
    route: Route | None
    now: int


@dataclass(frozen=True)
class TaskThen:
    """One task of the plan and what was done of it: by hand, or in a load; none where it is not recorded.

    `entered` says that it was written on paper first and typed in afterwards.
    """

    task: Task
    done: Done | None = None
    load: str = ""
    entered: bool = False

    @property
    def is_recorded(self) -> bool:
        """Whether it is known to have been done."""
        return self.done is not None or bool(self.load)


@dataclass(frozen=True)
class StoodThen:
    """How somebody was signed off for a family at a station at a moment of the run.

    `level` is none where no sign-off is recorded from before; `state` is how that one stood at the moment.
    """

    person: str
    station: Station
    family: str
    at: datetime
    level: Level | None = None
    state: State | None = None
    given: datetime | None = None
    until: datetime | None = None
    by: str = ""
    evidence: str = ""

    @property
    def worked_alone(self) -> bool:
        """Whether they might do it with nobody beside."""
        return self.state is State.holds


@dataclass(frozen=True)
class LoadThen:
    """One load that the set lay in, of any round; `inside` is none for one that counts no more.

    Attributes:
        load: as it is kept.
        loaded: when the set was put in, and taken out.
        inside: what the run keeps of it.
        cycle: its record, verdict and decisions; none where there is no record.
        needed: what must be there before release, as it stands.
        held: what somebody said that it held.
        indicators: those of the load, by id.
    """

    load: KeptLoad
    loaded: LoadedCopy
    inside: InLoad | None = None
    cycle: OpenCycle | None = None
    needed: tuple[NeededThing, ...] = ()
    held: LoadHeld | None = None
    indicators: tuple[tuple[str, Indicator], ...] = ()


@dataclass(frozen=True)
class PaperThen:
    """A paper of one of the texts, or of the set, that hung somewhere while the run was under way."""

    code: str
    paper: PaperPrinted
    place: PaperPlace
    is_of_the_run: bool


@dataclass(frozen=True)
class RecallThen:
    """A recall that reached the run: its id, the recall, and what it says of this run."""

    id: str
    recall: Recall
    reached: Recalled


@dataclass(frozen=True)
class CaseThen:
    """A case before the run, in which the set was used, or after it, for which it was made ready."""

    case: KeptCase
    state: str
    is_before: bool


@dataclass(frozen=True)
class Gap:
    """Something that ought to be known and is not recorded: about what, one sentence, and where on the way.

    `person` is the pseudonym of whoever it concerns.
    """

    about: str
    sentence: str
    station: Station | None = None
    person: str = ""

    @property
    def told(self) -> tuple[str, str]:
        """About what, and the sentence with whom it concerns.

        >>> Gap("Sign-offs", "Not recorded: a sign-off for hooks.", person="p-1").told
        ('Sign-offs', 'Not recorded: a sign-off for hooks. (p-1)')
        """
        return self.about, f"{self.sentence} ({self.person})" if self.person else self.sentence


@dataclass(frozen=True)
class RunFacts:
    """Everything that is kept of one run, of a moment: the chain stood at `head` then.

    Attributes:
        site: the department's id, name and zone.
        department: what it had when the plan was made; none where that cannot be told.
        copy: the set as it stands.
        kept: the run's row: opened, closed, version.
        run: what was done.
        plan: what it had to go through.
        planned: when the plan was made, and its digest.
        texts: the texts behind it, each once.
        tasks: every task with what was done of it, in the order of the plan.
        stood: how everybody stood who did something, at that moment.
        taps: every act on this run, in order.
        loads: every load, of all rounds, in order.
        before: the case in which it was used before; none where that is not recorded.
        after: the cases that got what this run made ready.
        papers: what hung while it was under way.
        solutions: what was made up of the chemicals of its route and in use while it was at the sink, by id.
        recalls: those that reached it.
        exceptions: those made for it, by id.
        pieces: the marked instruments that were packed, by id.
        earlier: the other runs of the same set, by id and when they opened, the latest first.
        head: the head of the chain.
        gaps: what is not recorded.
    """

    site: Site
    department: Department | None
    copy: KeptCopy
    kept: KeptRun
    run: Run
    plan: Plan
    planned: Making
    texts: tuple[TextThen, ...]
    tasks: tuple[TaskThen, ...]
    stood: tuple[StoodThen, ...]
    taps: tuple[KeptTap, ...]
    loads: tuple[LoadThen, ...]
    before: CaseThen | None
    after: tuple[CaseThen, ...]
    papers: tuple[PaperThen, ...]
    solutions: tuple[tuple[str, SinkSolution], ...]
    recalls: tuple[RecallThen, ...]
    exceptions: tuple[tuple[str, ExceptionForm], ...]
    pieces: Mapping[str, KeptCopy]
    earlier: tuple[tuple[str, datetime], ...]
    head: Head | None
    gaps: tuple[Gap, ...] = ()

    @property
    def people(self) -> frozenset[str]:
        """The pseudonyms of everybody in it."""
        return frozenset(filter(None, _people(self)))

    @property
    def families(self) -> frozenset[str]:
        """The device families of everything in the set."""
        return self.plan.families


def _people(facts: RunFacts) -> Iterator[str]:
    yield from (one.by for one in facts.taps)
    for text in facts.texts:
        yield from (text.made.by, text.approval.by if text.approval else "")
    yield from (one.done.by for one in facts.tasks if one.done)
    for stood in facts.stood:
        yield from (stood.person, stood.by)
    for load in facts.loads:
        yield from _of_load(load)
    run = facts.run
    yield from (one.by for one in run.looked.values())
    yield from (one.by for one in run.counted.values())
    yield from (one.by for one in run.deviations)
    yield from (one.by for one in run.holds)
    yield from (run.packed.by if run.packed else "",)
    yield from (hold.lifted.partition(":")[0] for hold in run.holds)
    for paper in facts.papers:
        yield from (paper.place.by, paper.place.ended_by)
    for _, solution in facts.solutions:
        yield from (solution.by, solution.discarded_by)
    for one in facts.recalls:
        dealt = one.recall.sets.get(one.reached.run)
        yield from (one.recall.by, dealt.by if dealt else "")
        yield one.recall.closed.by if one.recall.closed else ""
    for _, form in facts.exceptions:
        yield from (form.by, form.review.by if form.review else "")


def _of_load(load: LoadThen) -> Iterator[str]:
    yield from (str(load.load.fields.get(name) or "") for name in ("opened_by", "decided_by"))
    yield load.held.by if load.held else ""
    yield from (indicator.by for _, indicator in load.indicators)
    yield from (one.by for one in (load.cycle.decisions if load.cycle else ()))
