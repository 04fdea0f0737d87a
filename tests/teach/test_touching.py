"""Which stations a revision touches, held against a brute force that compares every step of every station."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import combinations, pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside.instruction import Action, Device, Instruction, Origin, Stage, Step
from sinkside.plain.operations import stations_of
from sinkside.quantities import Figure
from sinkside.route import Station
from sinkside.teach.touching import touched, what_is_touched

_WORDS = ("amber", "birch", "cedar", "delta", "ember", "fjord", "grove", "heath", "islet", "jetty", "knoll")
_KINDS = (
    (Stage.point_of_use, Action.wipe),
    (Stage.cleaning, Action.brush),
    (Stage.cleaning, Action.sonicate),
    (Stage.cleaning, Action.wash),
    (Stage.cleaning, Action.rinse),
    (Stage.disinfection, Action.disinfect),
    (Stage.drying, Action.dry),
    (Stage.inspection, Action.inspect),
    (Stage.packaging, Action.pack),
    (Stage.sterilization, Action.sterilize),
)


def _step(at: int, kind: int, minutes: int) -> Step:
    """A step with words that no other has, so that it is plain which one is which."""
    stage, action = _KINDS[kind]
    word = _WORDS[at]
    return Step(
        id=f"s{at}",
        stage=stage,
        action=action,
        figures=(Figure(quantity="time", value=minutes, unit="min", as_written=f"{minutes} min"),),
        origin=Origin(text=f"{word} {word}ish {word}er"),
    )


def _text(steps: Sequence[Step]) -> Instruction:
    return Instruction(device=Device(name="Hook"), steps=tuple(steps))


@st.composite
def _revisions(draw: st.DrawFn) -> tuple[list[Step], list[Step]]:
    """A text of some steps, and a revision in which a figure changed, or a step came, went or moved."""
    kinds = draw(st.lists(st.integers(0, len(_KINDS) - 1), min_size=1, max_size=7))
    before = [_step(at, kind, draw(st.integers(1, 30))) for at, kind in enumerate(kinds)]
    after = list(before)
    for _ in range(draw(st.integers(0, 2))):
        if after:
            _change(draw, after)
    return before, after


def _change(draw: st.DrawFn, steps: list[Step]) -> None:
    at = draw(st.integers(0, len(steps) - 1))
    how = draw(st.sampled_from(("figure", "add", "remove", "move")))
    if how == "figure":
        changed = steps[at].figures[0].model_copy(update={"value": float(draw(st.integers(31, 60)))})
        steps[at] = steps[at].model_copy(update={"figures": (changed,)})
    elif how == "add":
        fresh = len(_WORDS) - 1 - sum(step.id in {"s9", "s10"} for step in steps)
        steps.insert(at, _step(fresh, draw(st.integers(0, len(_KINDS) - 1)), 5))
    elif how == "remove":
        del steps[at]
    else:
        steps.insert(draw(st.integers(0, len(steps) - 1)), steps.pop(at))


def _by_brute_force(before: Sequence[Step], after: Sequence[Step]) -> set[Station]:
    """The stations of which some step is another one, told by looking at every step for every station."""
    was, is_now = stations_of(before), stations_of(after)
    old, new = ({step.id: step for step in side} for side in (before, after))
    unmoved = _in_every_longest_row([step.id for step in before], [step.id for step in after])
    found = set()
    for station in Station:
        for step in old.keys() | new.keys():
            if station not in {was.get(step), is_now.get(step)}:
                continue
            same = step in old and step in new and old[step] == new[step] and was[step] == is_now[step]
            if not same or step not in unmoved:
                found.add(station)
    return found


def _in_every_longest_row(before: Sequence[str], after: Sequence[str]) -> set[str]:
    """The steps that stayed in their place, however one tells the fewest moves: all subsets are tried."""
    kept = [step for step in before if step in after]
    places = {step: after.index(step) for step in kept}
    for length in range(len(kept), 0, -1):
        rows = [
            set(row)
            for row in combinations(kept, length)
            if all(places[one] < places[other] for one, other in pairwise(row))
        ]
        if rows:
            return set.intersection(*rows)
    return set()


@settings(max_examples=80, deadline=None)
@given(_revisions())
def test_exactly_the_stations_of_changed_steps_are_touched(revisions: tuple[list[Step], list[Step]]) -> None:
    """Whatever changed, the stations are those that a comparison of every step for every station finds."""
    before, after = revisions
    assert touched(_text(before), _text(after)) == _by_brute_force(before, after)


def _figure(step: Step, minutes: float) -> Step:
    figure = step.figures[0].model_copy(update={"value": minutes})
    return step.model_copy(update={"figures": (figure,)})


def _changed(change: Callable[[list[Step]], None]) -> dict[str, tuple[str, ...]]:
    """What a change of a text with a step at each of four stations touches."""
    before = [_step(at, kind, 15) for at, kind in enumerate((1, 6, 8, 9))]
    after = list(before)
    change(after)
    return {one.station.value: one.changes for one in what_is_touched(_text(before), _text(after))}


def test_one_figure_touches_the_station_of_its_step_alone() -> None:
    """Drying 15 → 30 min touches the bench, and says so; nobody at the sink has anything new to learn."""

    def dry_longer(steps: list[Step]) -> None:
        steps[1] = _figure(steps[1], 30)

    assert _changed(dry_longer) == {"bench": ("drying time 15 → 30 min",)}


def test_a_step_that_moved_past_two_others_touches_its_own_station() -> None:
    """What it moved past stands as it was; of two neighbours that changed places both are told."""

    def first_to_third(steps: list[Step]) -> None:
        steps.insert(2, steps.pop(0))

    def swapped(steps: list[Step]) -> None:
        steps[2], steps[3] = steps[3], steps[2]

    assert set(_changed(first_to_third)) == {"sink"}
    assert set(_changed(swapped)) == {"packing", "sterilizer"}


def test_words_that_nobody_read_are_compared_as_words() -> None:
    """A step whose action is none of those known is what its words say: other words touch its station."""
    texts = [
        _text([Step(id="s1", stage=Stage.inspection, action=Action.other, origin=Origin(text=said))])
        for said in ("Hold it to the light.", "Hold it under water.")
    ]
    assert touched(texts[0], texts[1]) == {Station.bench}
