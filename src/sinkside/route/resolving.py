"""One instruction against one department: the route, or why there is none.

How ways are weighed stands in `weighing`, which changes would do in `repairing`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence

from sinkside.department import Department
from sinkside.documents import to_json
from sinkside.findings import Finding, Place, worst_first
from sinkside.instruction import Action, Instruction, Step
from sinkside.route import conflicts, explaining
from sinkside.route.appraisal import Candidate
from sinkside.route.candidates import Board
from sinkside.route.document import Binding, Change, ChosenFigure, Operation, Route, RoutedDevice
from sinkside.route.needs import Choice, Need, Task
from sinkside.route.packing import NamedCycle
from sinkside.route.repairing import key_of, smallest_repair
from sinkside.route.requirements import requirements_of
from sinkside.route.weighing import Way, able_for, best, cycles_of, weigh


def resolve(instruction: Instruction, department: Department, *, language: str = "en") -> Route:
    """Resolve an instruction against a department.

    The same two documents always give the same route. Findings on the instruction itself are the review's
    business: a text with a `stop` resolves here, and must not go to the floor all the same.

    Args:
        instruction: The maker's text.
        department: What the site has.
        language: The language of sentences.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
        BadInput: if the language is unknown.
    """
    return resolve_on(instruction, Board(department), language=language)


def resolve_on(instruction: Instruction, board: Board, *, language: str = "en") -> Route:
    """Resolve an instruction on a board, which may hold sterilizing to the cycles that a set shares.

    Raises:
        BadQuantity, BadInput: as in `resolve`.
    """
    choices = requirements_of(instruction)
    ways = best(choices, board)
    failed = [need for way in ways for need in way.failed]
    route = Route(
        device=_device(instruction),
        department=board.department.name,
        profile=board.department.profile,
        resolved=not failed,
    )
    if failed:
        return route.model_copy(update=_no_route(choices, board, language))
    return route.model_copy(
        update={
            "operations": tuple(_operations(choices, ways, board, language)),
            "findings": tuple(worst_first(_remarks(ways, language))),
        }
    )


def _no_route(choices: Sequence[Choice], board: Board, language: str) -> dict[str, object]:
    """The conflicts of the nearest ways, what would make them or another possible, and the least of that."""
    repair = smallest_repair(choices, board, language)
    failed = list({id(need): need for way in repair.ways for need in way.failed}.values())
    cycles = frozenset(cycle for way in repair.ways for cycle in cycles_of(way.tasks))
    found = [conflicts.conflict(need, board.appraisal(need), language, cycles=cycles) for need in failed]
    changes = [change for need in failed for change in _changes_for(need, board, language)]
    least = [
        _with_all_that_it_serves(change, failed, cycles, board)
        for change in changes
        if key_of(change.sentence, change.edit) in repair.keys
    ]
    for choice, way in zip(choices, repair.ways, strict=True):
        if way.failed:
            changes += _changes_of_others(choice, way, board, language)
    return {
        "conflicts": tuple(worst_first(found)),
        "changes": conflicts.ranked(changes),
        "smallest_repair": conflicts.ranked(least),
    }


def _with_all_that_it_serves(
    change: Change, failed: Sequence[Need], cycles: frozenset[NamedCycle], board: Board
) -> Change:
    """A change with the steps of every need that it serves: an air line of 2 bar gives 1 bar too."""
    if change.edit is None:
        return change
    mended = board.with_change(change.edit)
    served = (need for need in failed if able_for(need, cycles, mended))
    steps = (step.id for need in served for step in need.steps)
    return change.model_copy(update={"resolves": tuple(dict.fromkeys((*change.resolves, *steps)))})


def _changes_of_others(choice: Choice, taken: Way, board: Board, language: str) -> list[Change]:
    """Changes that would open another way of a choice, where one change is enough for it."""
    helped = tuple(step.id for need in taken.failed for step in need.steps)
    found = []
    for option in choice.options:
        other = weigh(option, frozenset(), board)
        if option is not taken.tasks and len(other.failed) == 1:
            need = other.failed[0]
            found += [
                change.model_copy(update={"resolves": (*change.resolves, *helped)})
                for change in _changes_for(need, board, language)
            ]
    return found


def _changes_for(need: Need, board: Board, language: str) -> list[Change]:
    """The changes that would satisfy a need; those given as data have been tried."""
    return conflicts.changes_for(need, board.appraisal(need), language, does=board.would_do)


def _operations(
    choices: Sequence[Choice], ways: Sequence[Way], board: Board, language: str
) -> Iterator[Operation]:
    bindings: dict[str, tuple[Binding, ...]] = {}
    number = 0
    for choice, way in zip(choices, ways, strict=True):
        for task, picked in zip(way.tasks, way.chosen, strict=True):
            yield _operation(
                task,
                picked,
                letter=explaining.letter_of(number),
                bindings=bindings,
                sentence=explaining.why(
                    picked,
                    alternatives=len(choice.options),
                    equals=_equals(task, board),
                    language=language,
                ),
            )
            number += 1


def _equals(task: Task, board: Board) -> int:
    return max((len(board.appraisal(need).candidates) for need in task.needs), default=0)


def _operation(
    task: Task,
    picked: Sequence[Candidate],
    *,
    letter: str,
    bindings: dict[str, tuple[Binding, ...]],
    sentence: str,
) -> Operation:
    head = task.head
    own = tuple(dict.fromkeys(binding for candidate in picked for binding in candidate.bindings))
    if head.action is Action.repeat and head.condition is None:
        repeated = (binding for step_id in head.repeats for binding in bindings.get(step_id, ()))
        own = tuple(dict.fromkeys((*own, *repeated)))
    bindings.update(dict.fromkeys((step.id for step in task.steps), own))
    return Operation(
        letter=letter,
        stage=task.stage,
        station=explaining.station_of(task),
        steps=tuple(step.id for step in task.steps),
        action=task.action,
        on=tuple(dict.fromkeys(name for step in task.steps for name in step.on)),
        bindings=own,
        figures=_figures(task.steps, picked),
        positions={feature: at for step in task.steps for feature, at in step.positions.items()},
        until=head.until,
        condition=head.condition,
        cautions=tuple(dict.fromkeys(caution for step in task.steps for caution in step.cautions)),
        why=sentence,
        origin=head.origin,
    )


def _figures(steps: Sequence[Step], picked: Sequence[Candidate]) -> tuple[ChosenFigure, ...]:
    """Every figure of the steps once, in order, with the figure that will be used where one was chosen."""
    used = {chosen.required: chosen for candidate in picked for chosen in candidate.uses}
    own = [figure for step in steps for figure in step.figures]
    return tuple(used.get(figure, ChosenFigure(required=figure)) for figure in dict.fromkeys(own))


def _remarks(ways: Sequence[Way], language: str) -> list[Finding]:
    """The concerns and notes of everything chosen, each once."""
    found: dict[tuple[str, str], Finding] = {}
    for way in ways:
        for task, picked in zip(way.tasks, way.chosen, strict=True):
            origin = task.head.origin
            place = Place(step=task.head.id, page=origin.page, line=origin.line, text=origin.text)
            for remark in (remark for candidate in picked for remark in candidate.remarks):
                finding = remark.wording.finding(place=place, evidence=remark.evidence, language=language)
                found.setdefault((finding.rule, finding.message), finding)
    return list(found.values())


def _device(instruction: Instruction) -> RoutedDevice:
    device = instruction.device
    written = to_json(instruction, compact=True).encode()
    return RoutedDevice(
        name=device.name,
        maker=device.maker,
        title=device.document.title,
        revision=device.document.revision,
        digest=hashlib.sha256(written).hexdigest(),
    )
