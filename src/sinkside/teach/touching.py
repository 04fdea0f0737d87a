"""Which stations a new revision touches: the steps that changed, came, went or moved, and where each is done.

Whoever works at a station whose steps all stand as they were, in their order, has nothing new to learn.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from sinkside.instruction import Action, Instruction, Step
from sinkside.instruction.comparison import Comparison, compare
from sinkside.instruction.pairing import paired_steps, words_of
from sinkside.plain.operations import stations_of
from sinkside.plain.placing import placed
from sinkside.route import Route, Station

Pair = tuple[Step | None, Step | None]


@dataclass(frozen=True)
class StationTouched:
    """A station, and what changed of the steps that are done there, in sentences."""

    station: Station
    changes: tuple[str, ...]


def touched(
    before: Instruction,
    after: Instruction,
    route_before: Route | None = None,
    route_after: Route | None = None,
) -> frozenset[Station]:
    """The stations whose steps changed between two revisions."""
    return frozenset(one.station for one in what_is_touched(before, after, route_before, route_after))


def what_is_touched(
    before: Instruction,
    after: Instruction,
    route_before: Route | None = None,
    route_after: Route | None = None,
    *,
    language: str = "en",
) -> tuple[StationTouched, ...]:
    """The stations whose steps changed, in the order a device passes them, and what changed at each.

    A step that is done elsewhere than before touches both stations. One that moved touches its own station
    and no other.

    Args:
        before: the revision that people were signed off for.
        after: the new one.
        route_before: how the first goes in the department, which says where each step is done.
        route_after: how the second goes.
        language: the language of the sentences.
    """
    pairs = paired_steps(before.steps, after.steps)
    was, is_now = stations_by_step(before, route_before), stations_by_step(after, route_after)
    said = _sentences(compare(before, after, language=language))
    found: defaultdict[Station, list[str]] = defaultdict(list)
    moved = _moved(pairs, after)
    for old, new in pairs:
        changes = said.get((old.id if old else None, new.id if new else None), [])
        places = (was[old.id] if old else frozenset()) | (is_now[new.id] if new else frozenset())
        if not changes and old and new:
            changes = _untold(old, new, moved=new.id in moved, elsewhere=was[old.id] != is_now[new.id])
        for station in places if changes else ():
            found[station] += changes
    return tuple(
        StationTouched(station, tuple(dict.fromkeys(found[station])))
        for station in Station
        if station in found
    )


def stations_by_step(instruction: Instruction, route: Route | None) -> Mapping[str, frozenset[Station]]:
    """Where each step is done: by the route, else by its stage; an alternative not taken is done nowhere."""
    without = stations_of(instruction.steps)
    if route is None or not route.operations:
        return {step: frozenset({station}) for step, station in without.items()}
    found: defaultdict[str, set[Station]] = defaultdict(set)
    for operation in placed(route.operations):
        for step in operation.steps:
            found[step].add(operation.station)
    return {
        step.id: frozenset(found[step.id])
        if step.id in found or step.alternative
        else frozenset({without[step.id]})
        for step in instruction.steps
    }


def _sentences(comparison: Comparison) -> Mapping[tuple[str | None, str | None], list[str]]:
    """What changed of each pair of steps; that a step moved is told by `_moved`."""
    said: defaultdict[tuple[str | None, str | None], list[str]] = defaultdict(list)
    for change in comparison.changes:
        if change.kind != "moved" and (change.step_before or change.step_after):
            said[change.step_before, change.step_after].append(change.sentence)
    return said


def _untold(old: Step, new: Step, *, moved: bool, elsewhere: bool) -> list[str]:
    """What else changed of a step that stands as it was: its place, its station, words that nobody read."""
    name = f"{new.stage.value} {new.action.value}".replace("-", " ")
    if new.action is Action.other and words_of(old.origin.text) != words_of(new.origin.text):
        return [f"{name}: the words changed"]
    if moved:
        return [f"moved: {name} has another place in the order"]
    return [f"{name} is done at another station"] if elsewhere else []


def _moved(pairs: Sequence[Pair], after: Instruction) -> frozenset[str]:
    """Steps that changed places, by their new ids: those that not every longest unmoved row of steps holds.

    Of two neighbours that changed places either may be the one that moved; both are told.
    """
    place = {step.id: at for at, step in enumerate(after.steps)}
    kept = [(new.id, place[new.id]) for old, new in pairs if old and new]
    places = [at for _, at in kept]
    if all(one < other for one, other in pairwise(places)):
        return frozenset()
    ending = list(_longest_up_to(places))
    beginning = list(_longest_up_to([-at for at in reversed(places)]))[::-1]
    longest = max(ending)
    through = [end for end, begin in zip(ending, beginning, strict=True) if end + begin - 1 == longest]
    return frozenset(
        step
        for (step, _), end, begin in zip(kept, ending, beginning, strict=True)
        if end + begin - 1 != longest or through.count(end) > 1
    )


def _longest_up_to(places: Sequence[int]) -> Iterator[int]:
    """How long the longest rising row is that ends at each place."""
    lengths: list[int] = []
    for at, place in enumerate(places):
        lengths.append(1 + max((lengths[i] for i in range(at) if places[i] < place), default=0))
        yield lengths[-1]
