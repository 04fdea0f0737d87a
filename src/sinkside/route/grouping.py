"""Which steps are one operation, and which are alternatives of one another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise

from sinkside.instruction import Action, FigureRole, Stage, Step
from sinkside.route.words import names_a_cabinet, names_line_air, tool_kinds

#: The order of the work inside a washer; a block ends where the order would run backwards.
_RANK = {
    Action.load: 0,
    Action.connect: 0,
    Action.set_position: 0,
    Action.pre_rinse: 1,
    Action.wash: 2,
    Action.rinse: 3,
    Action.disinfect: 4,
    Action.dry: 5,
}
_OPENS_A_BLOCK = {Action.load, Action.connect, Action.pre_rinse, Action.wash, Action.disinfect}
_MAKES_A_BLOCK = {Action.wash, Action.disinfect}
_WASHER_STAGES = {Stage.preparation, Stage.cleaning, Stage.disinfection, Stage.drying}


def said(step: Step) -> str:
    """The words of a step about what it is done with."""
    return " ".join((step.with_ or "", *step.tools))


def is_by_hand(step: Step) -> bool:
    """Whether a step that a washer could do is done in a bath, with chemicals, cloths or air."""
    words = said(step)
    if is_in_a_bath(step):
        return True
    if step.action is Action.wash:
        # A bare "wash" or "clean" speaks of cleaning; it is no phase that a program could be held against.
        return not (step.figures or words.strip())
    if step.action is Action.disinfect:
        return "disinfectant" in words.casefold() or step.figure("temperature") is None
    if step.action is Action.dry:
        return bool(tool_kinds(words)) or names_a_cabinet(words) or is_by_line_air(step)
    return False


def is_by_line_air(step: Step) -> bool:
    """Whether a drying step is done with air from a line: it says so, or states the air's pressure."""
    cold = step.figure("temperature") is None
    return step.figure("pressure") is not None or (cold and names_line_air(said(step)))


def is_in_a_bath(step: Step) -> bool:
    """Whether a step is done in an ultrasonic bath: it says so, or states a frequency."""
    return step.action is Action.sonicate or step.figure("frequency") is not None


def names_a_cycle(step: Step) -> bool:
    """Whether a sterilizing step names anything of its cycle, and not only that one sterilizes."""
    stated = step.figure("temperature") or step.figure("time")
    return step.air_removal is not None or stated is not None


def without_mentions(steps: Sequence[Step]) -> list[Step]:
    """The steps, where sterilizing that is only mentioned is no cycle beside one that is named."""
    sterilizing = [step for step in steps if step.action is Action.sterilize]
    if not any(names_a_cycle(step) for step in sterilizing):
        return list(steps)
    mentions = {step.id for step in sterilizing if not names_a_cycle(step)}
    return [
        step.model_copy(update={"action": Action.other, "alternative": None}) if step.id in mentions else step
        for step in steps
    ]


def washer_block(steps: Sequence[Step]) -> int:
    """How many of the steps, from the first on, one washer program does; 0 if the first opens no block."""
    if not steps or steps[0].action not in _OPENS_A_BLOCK or steps[0].stage not in _WASHER_STAGES:
        return 0
    length = 1 if not is_by_hand(steps[0]) else 0
    for before, step in pairwise(steps):
        rank = _RANK.get(step.action, -1)
        unlike = rank < _RANK[before.action] or step.stage not in _WASHER_STAGES or is_by_hand(step)
        if length == 0 or unlike or step.alternative != before.alternative:
            break
        length += 1
    block = steps[:length]
    return length if any(step.action in _MAKES_A_BLOCK for step in block) else 0


def split_into_blocks(steps: Sequence[Step]) -> list[tuple[Step, ...]]:
    """Steps gathered into operations: washer blocks, sterilizing with its drying, the rest singly."""
    blocks: list[tuple[Step, ...]] = []
    at = 0
    while at < len(steps):
        length = washer_block(steps[at:]) or _sterilizer_block(steps[at:]) or 1
        blocks.append(tuple(steps[at : at + length]))
        at += length
    return blocks


def _sterilizer_block(steps: Sequence[Step]) -> int:
    """A sterilizing step and the drying steps right after it are one cycle."""
    if steps[0].action is not Action.sterilize:
        return 0
    length = 1
    while length < len(steps) and steps[length].action is Action.dry:
        length += 1
    return length


def split_into_choices(steps: Sequence[Step]) -> list[tuple[tuple[Step, ...], ...]]:
    """Steps in order as choices; each choice is one or more ways of doing it.

    Steps that share a letter are alternatives. Where a text names several sterilizing cycles one after
    another, they are alternatives too: nothing is sterilized twice.
    """
    choices: list[tuple[tuple[Step, ...], ...]] = []
    for letter, run in groupby(steps, key=lambda step: step.alternative):
        members = list(run)
        if letter is None:
            choices += [((step,),) for step in members]
        else:
            choices.append(_same_end(_options(members)))
    return _join_cycles(choices)


def _same_end(options: tuple[tuple[Step, ...], ...]) -> tuple[tuple[Step, ...], ...]:
    """Ways that end in the same: where one of them sterilizes, one that does not is no alternative to it."""
    sterilizing = tuple(
        option for option in options if any(step.action is Action.sterilize for step in option)
    )
    return sterilizing or options


def _options(members: list[Step]) -> tuple[tuple[Step, ...], ...]:
    """Ways within one letter: each begins where the first way's action comes again, else with each step.

    A drying step after a sterilizing step belongs to that cycle in either case.
    """
    first = members[0].action
    recurs = sum(step.action is first for step in members) > 1
    options: list[list[Step]] = []
    for step in members:
        continues = options and ((recurs and step.action is not first) or _dries_after(options[-1][-1], step))
        if continues:
            options[-1].append(step)
        else:
            options.append([step])
    return tuple(tuple(option) for option in options)


def _dries_after(before: Step, step: Step) -> bool:
    return (
        step.action is Action.dry
        and before.action in {Action.sterilize, Action.dry}
        and (before.stage is Stage.sterilization)
    )


def _join_cycles(choices: list[tuple[tuple[Step, ...], ...]]) -> list[tuple[tuple[Step, ...], ...]]:
    """Neighbouring sterilizing steps become alternatives of one choice, each with its drying."""
    joined: list[tuple[tuple[Step, ...], ...]] = []
    for choice in choices:
        head = choice[0][0]
        if joined and _is_cycle(joined[-1]) and _is_cycle(choice):
            joined[-1] = (*joined[-1], *choice)
        elif joined and _is_cycle(joined[-1]) and len(choice) == 1 and head.action is Action.dry:
            joined[-1] = tuple(_dried(option, choice[0]) for option in joined[-1])
        else:
            joined.append(choice)
    return joined


def _dried(cycle: tuple[Step, ...], drying: tuple[Step, ...]) -> tuple[Step, ...]:
    """A cycle with the drying that follows in the text, unless it has its own."""
    has_its_own = len(cycle) > 1 or cycle[0].figure("time", FigureRole.drying) is not None
    return cycle if has_its_own else (*cycle, *drying)


def _is_cycle(choice: tuple[tuple[Step, ...], ...]) -> bool:
    return all(option[0].action is Action.sterilize for option in choice)
