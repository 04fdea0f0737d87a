"""Inspection line by line: what to look for by each text, what passed, what failed and what follows."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.aids.papers.rows import details_of
from sinkside.bench.plan import Line, Plan
from sinkside.bench.run import Place, Run
from sinkside.desk.bench.guiding import Guided
from sinkside.instruction import Action, Stage
from sinkside.web.screens.bench.buttons import FAULT_THEN, Acts
from sinkside.web.screens.bench.shown import ActShown, MoreShown

_LOOKED = frozenset({Action.inspect, Action.test})
_STAGES = frozenset({Stage.inspection, Stage.maintenance})


@dataclass(frozen=True)
class MarkShown:
    """What to look for or test: its letter, in one sentence, and when it passes, one thing a line."""

    letter: str
    words: str
    passes: tuple[str, ...]


@dataclass(frozen=True)
class LookLine:
    """One line of the inspection.

    Attributes:
        id: of the line.
        name: what it is.
        count: how many of it there are.
        marks: what to look for; none where its text does not say.
        stands: `open`, `passed` or `failed`.
        told: what was found, in words.
        passes: says that it passed; none once it did.
        fails: says that it failed, what is wrong and what follows.
    """

    id: str
    name: str
    count: int
    marks: tuple[MarkShown, ...]
    stands: str
    told: str
    passes: ActShown | None
    fails: MoreShown


@dataclass(frozen=True)
class LookShown:
    """The inspection of a set: how far it is, and its lines."""

    sum: str
    lines: tuple[LookLine, ...]


def look_shown(guided: Guided, acts: Acts) -> LookShown | None:
    """The inspection, while the set is on the clean side."""
    run, plan = guided.run, guided.plan
    if run is None or plan is None or run.place is not Place.clean_side:
        return None
    passed = sum(one.passed for one in run.looked.values())
    lines = tuple(_line(guided, plan, run, acts, line) for line in plan.lines)
    return LookShown(f"{passed} of {len(lines)} lines passed", lines)


def _line(guided: Guided, plan: Plan, run: Run, acts: Acts, line: Line) -> LookLine:
    looked = run.looked.get(line.id)
    follows = {one.id: one.words for one in FAULT_THEN}
    stands = "open" if looked is None else "passed" if looked.passed else "failed"
    told = f"{looked.fault}: {follows.get(looked.then, looked.then)}" if looked and not looked.passed else ""
    passes = acts.make(
        f"pass-{line.id}",
        "Passed",
        {"act": "look", "line": line.id, "passed": True},
        told=f"passed: {line.words}",
        command="PASS",
    )
    return LookLine(
        id=line.id,
        name=line.words,
        count=line.expected,
        marks=_marks(guided, plan, line.member),
        stands=stands,
        told=told,
        passes=None if stands == "passed" else passes,
        fails=acts.fails(line.id),
    )


def _marks(guided: Guided, plan: Plan, member: str) -> tuple[MarkShown, ...]:
    tasks = (
        one for one in plan.tasks if one.member == member and one.stage in _STAGES and one.action in _LOOKED
    )
    return tuple(
        MarkShown(
            task.letter,
            task.words,
            tuple(details_of(guided.steps[task.id].plain)) if task.id in guided.steps else task.figures,
        )
        for task in tasks
    )
