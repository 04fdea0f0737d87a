"""Stages of work that no heading guides: settled for a whole stretch at once, as work goes in order."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from sinkside.draft.stages import ACTION_STAGES, CARRIED_ON
from sinkside.draft.staging import WorkAsked, evidence_of_itself
from sinkside.draft.stepping import StepDraft
from sinkside.instruction import Stage

_ORDER = tuple(Stage)
#: Work goes on in its stage: where it can belong there, where it can belong anywhere, within one item.
_GOES_ON = 0.9
_GOES_ON_ANYWHERE = 0.5
_SAME_ITEM = 0.5
_CARRIED_ON = 6.0
#: Work seldom goes back to an earlier stage.
_GOES_BACK = 1.5
#: Nor is it often done where it never belongs.
_OUT_OF_PLACE = 2.0


def settle(steps: list[StepDraft]) -> None:
    """Settle the stages of every stretch of steps that stands under no heading with a stage."""
    for first, last in _stretches(steps):
        before = steps[first - 1].stage if first else None
        after = steps[last].stage if last < len(steps) else None
        for step, stage in zip(steps[first:last], _best(steps, first, last, before, after), strict=True):
            step.stage = stage


def _stretches(steps: list[StepDraft]) -> Iterator[tuple[int, int]]:
    place = 0
    for free, group in itertools.groupby(steps, key=lambda step: step.asked is not None):
        size = len(list(group))
        if free:
            yield place, place + size
        place += size


def _best(
    steps: list[StepDraft], first: int, last: int, before: Stage | None, after: Stage | None
) -> list[Stage]:
    """The stages of a stretch that together have most that speaks for them."""
    scores: dict[Stage, float] = {before: 0.0} if before else dict.fromkeys(_ORDER, 0.0)
    ways: list[dict[Stage, Stage]] = []
    for place in range(first, last):
        step = steps[place]
        beside = steps[place - 1] if place else None
        own = _own(step.asked) if step.asked else {}
        new, way = {}, {}
        for stage in _ORDER:
            came = max(scores, key=lambda one: scores[one] + _passing(beside, step, one, stage))
            new[stage] = own.get(stage, 0.0) + scores[came] + _passing(beside, step, came, stage)
            way[stage] = came
        scores = new
        ways.append(way)
    end = max(scores, key=lambda one: scores[one] - (_back(one, after) if after else 0.0))
    path = [end]
    for way in reversed(ways[1:]):
        path.append(way[path[-1]])
    return path[::-1]


def _own(asked: WorkAsked) -> dict[Stage, float]:
    allowed = ACTION_STAGES.get(asked.action, _ORDER)
    weights = {stage: 0.0 if stage in allowed else -_OUT_OF_PLACE for stage in _ORDER}
    for evidence in evidence_of_itself(asked):
        weights[evidence.stage] += evidence.weight
    return weights


def _passing(beside: StepDraft | None, step: StepDraft, before: Stage, stage: Stage) -> float:
    """What speaks for a stage behind another one, or against it."""
    if beside is None:
        return 0.0
    if before is not stage:
        return -_back(before, stage)
    allowed = ACTION_STAGES.get(step.action)
    same = _SAME_ITEM if step.item == beside.item else 0.0
    told = step.asked.cues if step.asked else ()
    carries = step.action in CARRIED_ON and (not told or stage in told)
    if same and carries and (allowed is None or stage in allowed):
        return _CARRIED_ON
    if allowed is None:
        return same + _GOES_ON_ANYWHERE
    return same + _GOES_ON if stage in allowed else 0.0


def _back(before: Stage, stage: Stage) -> float:
    return _GOES_BACK if _ORDER.index(stage) < _ORDER.index(before) else 0.0
