"""Two revisions side by side: what changed is told in the trade's terms, and what did not is not told."""

from __future__ import annotations

from typing import Any

import hypothesis.strategies as st
from hypothesis import given

from sinkside.instruction import Device, Instruction, Origin, Part, Step
from sinkside.instruction.comparison import compare
from sinkside.quantities import Figure


def _time(minutes: float, role: str | None = None, **ends: Any) -> Figure:
    value = {} if ends else {"value": minutes}
    return Figure.model_validate({"quantity": "time", "unit": "min", "role": role, **value, **ends})


def _step(step_id: str, stage: str, action: str, *figures: Figure, **more: Any) -> Step:
    return Step.model_validate(
        {"id": step_id, "stage": stage, "action": action, "figures": list(figures), **more}
    )


def _text(*steps: Step, **device: Any) -> Instruction:
    return Instruction(device=Device(name="Grasper", **device), steps=steps)


def _told(old: Instruction, new: Instruction) -> list[str]:
    return [change.sentence for change in compare(old, new).changes]


SOAK = _step("s1", "cleaning", "soak", _time(5), origin=Origin(line=3, text="Soak for 5 min."))
FLUSH = _step("s2", "cleaning", "flush", origin=Origin(line=4, text="Flush the lumen."))
STEAM = _step("s3", "sterilization", "sterilize", _time(3, "exposure"), _time(15, "drying"))


def test_a_changed_exposure_is_told_as_people_say_it() -> None:
    """3 to 4 min of exposure and 15 to 30 min of drying are two changes with their names."""
    later = _step("s3", "sterilization", "sterilize", _time(4, "exposure"), _time(30, "drying"))
    assert _told(_text(STEAM), _text(later)) == [
        "sterilization exposure 3 → 4 min",
        "sterilization drying 15 → 30 min",
    ]


def test_no_word_is_said_twice() -> None:
    """The brush of a step that brushes has a diameter, and drying takes a time."""

    def brush(diameter: float, minutes: float) -> tuple[Step, Step]:
        size = Figure(quantity="length", value=diameter, unit="mm", role="brush-diameter")
        dry = _step("s2", "drying", "dry", _time(minutes, "drying"))
        return _step("s1", "cleaning", "brush", size), dry

    assert _told(_text(*brush(2, 5)), _text(*brush(3, 9))) == [
        "cleaning brush diameter 2 → 3 mm",
        "drying 5 → 9 min",
    ]


def test_the_same_figure_in_another_unit_is_no_change() -> None:
    """180 s is 3 min, and 270 °F is 132.22 °C."""
    seconds = Figure(quantity="time", value=180, unit="s", role="exposure")
    other = _step("s3", "sterilization", "sterilize", seconds, _time(15, "drying"))
    assert compare(_text(STEAM), _text(other)).alike


def test_a_bound_that_came_or_went_is_a_change() -> None:
    """`3 min` and `at least 3 min` bind differently."""
    bounded = _step("s3", "sterilization", "sterilize", _time(0, "exposure", min=3), _time(15, "drying"))
    assert _told(_text(STEAM), _text(bounded)) == ["sterilization exposure 3 min → ≥ 3 min"]


def test_renumbering_is_no_change() -> None:
    """A step put in front gives every other step another number; only the new one is told."""
    wipe = _step("s1", "point-of-use", "wipe", origin=Origin(line=2, text="Wipe off gross soil."))
    shifted = [
        step.model_copy(update={"id": f"s{n}"}) for n, step in enumerate((SOAK, FLUSH, STEAM), start=2)
    ]
    changes = compare(_text(SOAK, FLUSH, STEAM), _text(wipe, *shifted)).changes
    assert [(change.kind, change.what, change.step_after) for change in changes] == [
        ("added", "point of use wipe", "s1")
    ]


def test_of_two_like_steps_the_right_one_is_missed() -> None:
    """Of two flushes the one that went is told, by its words, whatever the numbers say."""
    second = _step("s5", "cleaning", "flush", origin=Origin(line=9, text="Flush the port with water again."))
    stays = second.model_copy(update={"id": "s2"})
    changes = compare(_text(SOAK, FLUSH, second), _text(SOAK, stays)).changes
    assert [(change.kind, change.step_before) for change in changes] == [("removed", "s2")]


def test_positions_means_and_cautions_are_told() -> None:
    """A jaw that is now open, another detergent and a new caution each get a line."""
    before = _step("s1", "cleaning", "brush", positions={"jaw": "closed"}, **{"with": "water"})
    after = before.model_copy(
        update={"positions": {"jaw": "open"}, "with_": "enzymatic detergent", "cautions": ("no steel",)}
    )
    assert _told(_text(before), _text(after)) == [
        "cleaning brush, with: water → enzymatic detergent",
        "cleaning brush, cautions: not stated → no steel",
        "cleaning brush, jaw closed → open",
    ]


def test_a_moved_step_is_told_once() -> None:
    """Two steps that changed places are one move, not two losses."""
    changes = compare(_text(SOAK, FLUSH, STEAM), _text(FLUSH, SOAK, STEAM)).changes
    assert [change.kind for change in changes] == ["moved"]


def test_a_part_that_became_single_use_is_told() -> None:
    """Whether a part is used again is part of the comparison."""
    old = _text(parts=(Part(id="p1", name="insert"),))
    new = _text(parts=(Part.model_validate({"id": "p1", "name": "Insert", "use": "discard-after-use"}),))
    assert _told(old, new) == ["part Insert reusable → discard after use"]


def test_a_step_read_as_another_action_is_one_change() -> None:
    """The same words read as another action are a change of that step."""
    words = Origin(line=4, text="Flush the lumen until the water runs clear.")
    old = _step("s2", "cleaning", "rinse", origin=words)
    assert _told(_text(old), _text(_step("s2", "cleaning", "flush", origin=words))) == [
        "cleaning flush, action: rinse → flush"
    ]


_steps = st.lists(
    st.builds(
        lambda action, minutes: (action, minutes),
        st.sampled_from(["soak", "flush", "brush", "rinse"]),
        st.floats(0.5, 60).map(lambda value: round(value, 1)),
    ),
    max_size=8,
)


def _made(steps: list[tuple[str, float]]) -> Instruction:
    return _text(
        *(_step(f"s{n}", "cleaning", action, _time(minutes)) for n, (action, minutes) in enumerate(steps))
    )


@given(_steps)
def test_nothing_changed_in_a_text_against_itself(steps: list[tuple[str, float]]) -> None:
    """A text is like itself."""
    assert compare(_made(steps), _made(steps)).alike


@given(_steps, _steps)
def test_every_step_of_both_sides_is_accounted_for(
    old: list[tuple[str, float]], new: list[tuple[str, float]]
) -> None:
    """Added less removed is what the one text has more than the other."""
    changes = compare(_made(old), _made(new)).changes
    added, removed = (sum(1 for change in changes if change.kind == kind) for kind in ("added", "removed"))
    assert added - removed == len(new) - len(old)
