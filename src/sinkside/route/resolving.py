"""One instruction against one department: the route, or why there is none.

The choice is exact and in this order: no conflict, fewest concerns, least hands-on time, fewest operations by
hand (many state no time), least machine time, fewest operations, the plainest thing that does, the
department's own order. Only packaging and the cycle that
it must bear depend on one another, so every sterilizing way is tried with its packaging; all else is chosen
by itself, and such a sum of smallest parts is the smallest sum.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from sinkside.department import Department
from sinkside.documents import to_json
from sinkside.findings import Finding, Level, Place, worst_first
from sinkside.instruction import Action, FigureRole, Instruction, Step
from sinkside.quantities import FigureQuantity
from sinkside.route import conflicts, explaining
from sinkside.route.appraisal import Candidate
from sinkside.route.candidates import Board
from sinkside.route.document import Binding, Change, ChosenFigure, Operation, Route, RoutedDevice
from sinkside.route.needs import Choice, Need, PackagingNeed, SteamNeed, Task
from sinkside.route.requirements import requirements_of

#: Actions that wait; their time is nobody's work.
_WAITING = {
    Action.soak,
    Action.transport,
    Action.start_cleaning,
    Action.keep_moist,
    Action.cool,
    Action.store,
    Action.sonicate,
}

#: Parts that a time can play in a step of work; how long ago the device was used is none.
_WORKING = {None, FigureRole.exposure, FigureRole.drying}

_Cost = tuple[float, ...]
_Ways = frozenset[str]


@dataclass(frozen=True, slots=True)
class _Way:
    """One option of a choice with what was chosen for each task, and what it costs."""

    tasks: tuple[Task, ...]
    chosen: tuple[tuple[Candidate, ...], ...]
    failed: tuple[Need, ...]
    cost: _Cost


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
    ways = _best(choices, board)
    failed = [need for way in ways for need in way.failed]
    route = Route(
        device=_device(instruction),
        department=board.department.name,
        profile=board.department.profile,
        resolved=not failed,
    )
    if failed:
        return route.model_copy(update=_no_route(choices, ways, board, language))
    return route.model_copy(
        update={
            "operations": tuple(_operations(choices, ways, board, language)),
            "findings": tuple(worst_first(_remarks(ways, language))),
        }
    )


def _best(choices: Sequence[Choice], board: Board) -> list[_Way]:
    """The cheapest way of every choice, every combination of sterilizing options tried with its packaging."""
    sterilizing = [choice for choice in choices if _sterilizes(choice)]
    best: tuple[_Cost, list[_Way]] | None = None
    known: dict[tuple[int, _Ways], _Way] = {}
    for picks in product(*(choice.options for choice in sterilizing)):
        cycles = frozenset(way for option in picks for way in _ways_of(option))
        fixed = dict(zip((id(choice) for choice in sterilizing), picks, strict=True))
        taken = []
        for choice in choices:
            if id(choice) in fixed:
                taken.append(_weigh(fixed[id(choice)], cycles, board))
                continue
            key = (id(choice), cycles)
            if key not in known:
                options = (_weigh(option, cycles, board) for option in choice.options)
                known[key] = min(options, key=lambda way: way.cost)
            taken.append(known[key])
        total = tuple(map(sum, zip(*(way.cost for way in taken), strict=True)))
        if best is None or total < best[0]:
            best = (total, taken)
    return best[1] if best else []


def _sterilizes(choice: Choice) -> bool:
    return any(task.action is Action.sterilize for option in choice.options for task in option)


def _ways_of(option: Sequence[Task]) -> Iterator[str]:
    """The ways of air removal that an option's cycles use."""
    for task in option:
        for need in task.needs:
            if isinstance(need, SteamNeed) and need.air_removal:
                yield need.air_removal.value


def _weigh(option: tuple[Task, ...], cycles: _Ways, board: Board) -> _Way:
    """One option with the cheapest candidate for each need."""
    chosen: list[tuple[Candidate, ...]] = []
    failed: list[Need] = []
    for task in option:
        picked = []
        for need in task.needs:
            able = able_for(need, cycles, board)
            if able:
                picked.append(min(able, key=_candidate_cost))
            else:
                failed.append(need)
        chosen.append(tuple(picked))
    return _Way(option, tuple(chosen), tuple(failed), _cost(option, chosen, failed, board))


def able_for(need: Need, cycles: _Ways, board: Board) -> list[Candidate]:
    """The candidates of a need; packaging only where it bears every cycle in question."""
    if conflicts.barred(need):
        return []
    able = board.appraisal(need).candidates
    if isinstance(need, PackagingNeed):
        return [candidate for candidate in able if cycles <= set(candidate.bears)]
    return able


def _candidate_cost(candidate: Candidate) -> _Cost:
    return (_concerns([candidate]), candidate.machine_s, candidate.excess)


def _concerns(chosen: Sequence[Candidate]) -> float:
    return float(
        sum(remark.wording.level is not Level.note for candidate in chosen for remark in candidate.remarks)
    )


def _cost(
    option: Sequence[Task], chosen: Sequence[Sequence[Candidate]], failed: Sequence[Need], board: Board
) -> _Cost:
    everything = [candidate for picked in chosen for candidate in picked]
    return (
        float(sum(conflicts.smallest_change(need, board.appraisal(need)) for need in failed)),
        _concerns(everything),
        sum(_hands_on_s(task, picked) for task, picked in zip(option, chosen, strict=True)),
        float(sum(not explaining.is_by_machine(picked) for picked in chosen)),
        sum(candidate.machine_s for candidate in everything),
        float(len(option)),
        sum(candidate.excess for candidate in everything),
    )


def _hands_on_s(task: Task, picked: Sequence[Candidate]) -> float:
    """The stated time of work by hand; where none is stated none is made up."""
    if explaining.is_by_machine(picked):
        return 0.0
    figures = (
        figure
        for step in task.steps
        if step.action not in _WAITING
        for figure in step.figures_of(FigureQuantity.time)
        if figure.role in _WORKING
    )
    return sum(figure.number("s") for figure in figures)


def _no_route(
    choices: Sequence[Choice], ways: Sequence[_Way], board: Board, language: str
) -> dict[str, tuple[Finding, ...] | tuple[Change, ...]]:
    """The conflicts of the nearest ways, and the changes that would make them or another way possible."""
    failed = list({id(need): need for way in ways for need in way.failed}.values())
    found = [conflicts.conflict(need, board.appraisal(need), language) for need in failed]
    changes = [
        change for need in failed for change in conflicts.changes_for(need, board.appraisal(need), language)
    ]
    for choice, way in zip(choices, ways, strict=True):
        if way.failed:
            changes += _changes_of_others(choice, way, board, language)
    return {"conflicts": tuple(worst_first(found)), "changes": conflicts.ranked(changes)}


def _changes_of_others(choice: Choice, taken: _Way, board: Board, language: str) -> list[Change]:
    """Changes that would open another way of a choice, where one change is enough for it."""
    helped = tuple(step.id for need in taken.failed for step in need.steps)
    found = []
    for option in choice.options:
        other = _weigh(option, frozenset(), board)
        if option is not taken.tasks and len(other.failed) == 1:
            need = other.failed[0]
            found += [
                change.model_copy(update={"resolves": (*change.resolves, *helped)})
                for change in conflicts.changes_for(need, board.appraisal(need), language)
            ]
    return found


def _operations(
    choices: Sequence[Choice], ways: Sequence[_Way], board: Board, language: str
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


def _remarks(ways: Sequence[_Way], language: str) -> list[Finding]:
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
