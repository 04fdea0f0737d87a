"""Moving parts through the steps: what holds in every simulation, and what the trade expects."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from sinkside.instruction import POSITIONS, Action, Device, Instruction, Stage, Step
from sinkside.instruction.positions import Held, simulate

positions = st.fixed_dictionaries(
    {}, optional={feature: st.sampled_from(known) for feature, known in POSITIONS.items()}
)
one_step = st.tuples(
    st.sampled_from([Action.soak, Action.actuate, Action.take_apart, Action.put_together, Action.sterilize]),
    positions,
    st.sampled_from([None, None, "a", "b"]),
)


def instruction_of(steps: list[tuple[Action, dict[str, str], str | None]]) -> Instruction:
    return Instruction(
        device=Device(name="Grasper"),
        steps=tuple(
            Step(id=f"s{n}", stage=Stage.cleaning, action=action, positions=named, alternative=letter)
            for n, (action, named, letter) in enumerate(steps)
        ),
    )


instructions = st.lists(one_step, max_size=12).map(instruction_of)


@given(instructions)
def test_there_is_one_moment_a_step_in_order(instruction: Instruction) -> None:
    """Nothing is skipped and nothing is added."""
    assert tuple(moment.step for moment in simulate(instruction)) == instruction.steps


@given(instructions)
def test_what_a_step_names_holds_during_it_and_after_it(instruction: Instruction) -> None:
    """A position that the text gives is never argued with."""
    for moment in simulate(instruction):
        for feature, position in moment.step.positions.items():
            assert moment.during[feature].position == position
            assert moment.after[feature].position == position


@given(instructions)
def test_only_known_positions_occur_and_each_has_a_step_that_set_it(instruction: Instruction) -> None:
    """Every position is of the vocabulary and was set by this step or an earlier one."""
    order = {step.id: n for n, step in enumerate(instruction.steps)}
    for n, moment in enumerate(simulate(instruction)):
        for feature, held in moment.during.items():
            assert held.position in POSITIONS[feature]
            assert order[held.since] <= n


@given(instructions)
def test_a_step_finds_what_the_one_before_left(instruction: Instruction) -> None:
    """Outside alternatives the device does not move between two steps."""
    moments = simulate(instruction)
    for earlier, later in pairwise(moments):
        if earlier.step.alternative is None and later.step.alternative is None:
            assert later.before == earlier.after


@given(instructions)
def test_a_feature_that_nothing_moves_is_unknown(instruction: Instruction) -> None:
    """Nothing is assumed of sleeves and knobs that no step names."""
    named = {feature for step in instruction.steps for feature in step.positions}
    for moment in simulate(instruction):
        assert not ({"sleeve", "knob", "port"} - named) & set(moment.after)


def test_alternatives_start_from_the_same_state() -> None:
    """What one alternative does is not yet done in the other; after both only what they agree on is known."""
    moments = simulate(
        instruction_of(
            [
                (Action.soak, {"jaw": "open", "port": "open"}, None),
                (Action.soak, {"jaw": "closed"}, "a"),
                (Action.soak, {}, "a"),
                (Action.soak, {}, None),
            ]
        )
    )
    assert moments[2].before["jaw"] == Held("open", "s0")
    assert "jaw" not in moments[3].before
    assert moments[3].before["port"] == Held("open", "s0")


def test_opening_the_jaw_releases_the_ratchet() -> None:
    """A jaw cannot open against an engaged ratchet (common practice, no source)."""
    moments = simulate(
        instruction_of([(Action.soak, {"ratchet": "engaged"}, None), (Action.soak, {"jaw": "open"}, None)])
    )
    assert moments[1].after["ratchet"] == Held("released", "s1")


def test_moving_the_jaw_leaves_it_anywhere() -> None:
    """After opening and closing ten times nobody knows where the jaw came to rest."""
    moments = simulate(instruction_of([(Action.soak, {"jaw": "open"}, None), (Action.actuate, {}, None)]))
    assert "jaw" not in moments[1].after
