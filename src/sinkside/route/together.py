"""A set against a department: every member by its own text, and one sterilizing cycle that all of them name.

Where no cycle is common to all, the set is split; no cycle stands in for another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sinkside.department import Department
from sinkside.errors import BadInput
from sinkside.findings import Finding, Level, Wording, worst_first
from sinkside.instruction import FigureRole, Instruction
from sinkside.route import sizes
from sinkside.route.candidates import Board, Cycle, sterilizing_cycle
from sinkside.route.conflicts import barred, ranked
from sinkside.route.document import Change, Load, Route, SetRoute
from sinkside.route.needs import GasNeed, SteamNeed
from sinkside.route.phrases import Phrase, Together
from sinkside.route.requirements import requirements_of
from sinkside.route.resolving import resolve_on
from sinkside.route.windows import Window, amount
from sinkside.sets import SetDocument

SPLIT = Wording(
    rule="route-no-common-cycle",
    level=Level.stop,
    message="No one sterilizing cycle here is named by every member of {set}; cycles are not exchanged.",
    remedy="{change}",
)
TOO_HEAVY = Wording(
    rule="route-set-too-heavy",
    level=Level.stop,
    message="{set} weighs {mass}; {who} allows {most}.",
    remedy="Split the set.",
)


def route_set(
    document: SetDocument,
    instructions: Mapping[str, Instruction],
    department: Department,
    *,
    language: str = "en",
) -> SetRoute:
    """Resolve every member of a set, with one cycle for all, or say how to split it.

    Args:
        document: The set.
        instructions: The members' instructions by the name that the set calls them by.
        department: What the site has.
        language: The language of sentences.

    Raises:
        BadInput: if a member's instruction is not given.
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    members = {member.instruction: _given(member.instruction, instructions) for member in document.members}
    board = Board(department)
    cycles = {name: _cycles_of(instruction, board) for name, instruction in members.items()}
    loads = _loads(cycles)
    served = [load for load in loads if load.program]
    only = frozenset((load.machine, load.program) for load in served) if len(loads) == 1 and served else None
    routes = tuple(
        resolve_on(instruction, Board(department, only=only), language=language)
        for instruction in members.values()
    )
    conflicts = _too_heavy(document, members, department, language)
    changes: list[Change] = []
    if len(loads) > 1:
        split = _split(loads, language)
        changes.append(split)
        evidence = {"set": document.name, "change": split.sentence}
        conflicts.append(SPLIT.finding(evidence=evidence, language=language))
    return _summed(document, department, routes, loads=loads, conflicts=conflicts, changes=changes)


def _given(name: str, instructions: Mapping[str, Instruction]) -> Instruction:
    if name not in instructions:
        known = ", ".join(sorted(instructions)) or "none"
        raise BadInput(f"the set's member has no instruction; given are {known}", resource=name)
    return instructions[name]


def _summed(
    document: SetDocument,
    department: Department,
    routes: tuple[Route, ...],
    *,
    loads: list[Load],
    conflicts: list[Finding],
    changes: list[Change],
) -> SetRoute:
    everything = [*conflicts, *(finding for route in routes for finding in route.conflicts)]
    return SetRoute(
        name=document.name,
        department=department.name,
        resolved=not everything,
        routes=routes,
        loads=tuple(loads),
        conflicts=tuple(worst_first(everything)),
        changes=ranked([*changes, *(change for route in routes for change in route.changes)]),
    )


def _cycles_of(instruction: Instruction, board: Board) -> frozenset[Cycle] | None:
    """The cycles here that a member's text names; None if the member is not sterilized."""
    found: set[Cycle] = set()
    sterilized = False
    for choice in requirements_of(instruction):
        for task in (task for option in choice.options for task in option):
            for need in task.needs:
                if isinstance(need, SteamNeed | GasNeed):
                    sterilized = True
                    able = [] if barred(need) else board.appraisal(need).candidates
                    found.update(cycle for candidate in able if (cycle := sterilizing_cycle(candidate)))
    return frozenset(found) if sterilized else None


def _loads(cycles: Mapping[str, frozenset[Cycle] | None]) -> list[Load]:
    """Members gathered under as few cycles as the largest group first gives; one load if one cycle does.

    A member that no cycle serves stands in a load without one.
    """
    waiting = {name: named for name, named in cycles.items() if named is not None}
    loads: list[Load] = []
    while waiting:
        known = sorted({cycle for named in waiting.values() for cycle in named})
        best = max(known, key=lambda cycle: sum(cycle in named for named in waiting.values()), default=None)
        served = tuple(name for name, named in waiting.items() if best is None or best in named)
        machine, program = best or ("", "")
        loads.append(Load(members=served, machine=machine, program=program))
        waiting = {name: named for name, named in waiting.items() if name not in served}
    return loads


def _split(loads: Sequence[Load], language: str) -> Change:
    groups = Together(
        tuple(
            Phrase("{members} ({program})", {"members": list(load.members), "program": load.program})
            if load.program
            else Phrase("{members} (no cycle here)", {"members": list(load.members)})
            for load in loads
        ),
        "; ",
    )
    return Change(
        sentence=Phrase("Split the set: {groups}.", {"groups": groups}).text(language),
        resolves=tuple(name for load in loads for name in load.members),
        size=sizes.SPLIT,
    )


def _too_heavy(
    document: SetDocument, members: Mapping[str, Instruction], department: Department, language: str
) -> list[Finding]:
    """Where the set weighs more than a member's text or its packaging allows."""
    if document.mass is None:
        return []
    mass_kg = amount(document.mass, "kg")
    limits = [
        (name, Window.of(figure, "kg").high, str(Window.of(figure, "kg").with_lowest()))
        for name, instruction in members.items()
        for step in instruction.steps
        for figure in step.figures_of("mass", FigureRole.set_mass)
    ]
    limits += [
        (item.name, amount(item.mass, "kg"), str(item.mass))
        for item in department.packaging
        if item.id == document.packaging and item.mass
    ]
    return [
        TOO_HEAVY.finding(
            evidence={"set": document.name, "mass": str(document.mass), "who": who, "most": most},
            language=language,
        )
        for who, most_kg, most in limits
        if mass_kg > most_kg
    ]
