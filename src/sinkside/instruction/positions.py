"""Moving parts, step by step: in which position each feature is, and which step put it there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from sinkside.instruction.document import Instruction, Step
from sinkside.instruction.vocabulary import Action, Stage


@dataclass(frozen=True)
class Held:
    """A position that a feature is in, and the step that put it there."""

    position: str
    since: str


#: What is known of each feature; a feature that is not named here may be in any position.
State = Mapping[str, Held]


@dataclass(frozen=True)
class Moment:
    """One step with the positions it finds, works in and leaves."""

    step: Step
    before: State
    during: State
    after: State


#: Coming apart and going together move the device as a whole.
_MOVES = {
    Action.take_apart: {"part": "apart"},
    Action.put_together: {"part": "assembled"},
}

#: A jaw cannot open against an engaged ratchet: whoever opens it has released it.
_ENTAILED = {("jaw", "open"): ("ratchet", "released")}

#: Features that a person moves to and fro, in cleaning and in every test of function; where they come to
#: rest the text rarely says.
_MOVED_BY_HAND = ("jaw", "ratchet", "sleeve", "knob")
_MOVING = frozenset({Action.actuate, Action.inspect, Action.test})


def simulate(instruction: Instruction) -> tuple[Moment, ...]:
    """Every step of an instruction with the positions it finds, works in and leaves.

    A position holds until a step changes it; inspection and tests of function move what can be moved, and
    leave it anywhere. Alternatives all start from where the step before the first of
    them left the device; after them only what they agree on is known.

    >>> from sinkside.instruction import Device, Instruction, Step
    >>> packed = Step(id="s1", stage="packaging", action="pack", positions={"ratchet": "engaged"})
    >>> steam = Step(id="s2", stage="sterilization", action="sterilize")
    >>> moments = simulate(Instruction(device=Device(name="Grasper"), steps=(packed, steam)))
    >>> moments[1].during["ratchet"]
    Held(position='engaged', since='s1')
    """
    moments: list[Moment] = []
    state: State = MappingProxyType({})
    fork: State = state
    branches: list[State] = []
    letter: str | None = None
    for step in instruction.steps:
        if step.alternative is None or step.alternative != letter:
            state = _agreed(branches, state)
            fork, branches, letter = state, [], step.alternative
        before = fork if letter else state
        moment = _moment(step, before)
        moments.append(moment)
        state = moment.after
        if letter:
            branches.append(state)
    return tuple(moments)


def _moment(step: Step, before: State) -> Moment:
    during = dict(before)
    for feature, position in {**_entailed(step), **_MOVES.get(step.action, {}), **step.positions}.items():
        if feature not in before or before[feature].position != position:
            during[feature] = Held(position, step.id)
    after = dict(during)
    is_test = step.stage is Stage.inspection
    if is_test or step.action in _MOVING:
        for feature in _MOVED_BY_HAND:
            if is_test or feature not in step.positions:
                after.pop(feature, None)
    return Moment(step, before, MappingProxyType(during), MappingProxyType(after))


def _entailed(step: Step) -> dict[str, str]:
    """Positions that follow from those the step names."""
    return dict(_ENTAILED[named] for named in step.positions.items() if named in _ENTAILED)


def _agreed(branches: list[State], otherwise: State) -> State:
    """What is known whichever branch was taken."""
    if not branches:
        return otherwise
    first, *others = branches
    return MappingProxyType(
        {
            feature: held
            for feature, held in first.items()
            if all(feature in other and other[feature].position == held.position for other in others)
        }
    )
