"""A set against a department: every member by its own text, and one sterilizing cycle that all of them name.

Where no cycle is common to all, the set is split; no cycle stands in for another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sinkside.department import BARRIERS, Department, Station
from sinkside.errors import BadInput
from sinkside.findings import Finding, Level, Wording, worst_first
from sinkside.instruction import FigureRole, Instruction
from sinkside.route import sizes
from sinkside.route.candidates import Board, Cycle, program_of
from sinkside.route.common_cycles import common_cycle_changes
from sinkside.route.conflicts import barred, ranked
from sinkside.route.document import Change, Load, Route, SetRoute
from sinkside.route.needs import Choice, GasNeed, SteamNeed
from sinkside.route.phrases import Phrase, Together
from sinkside.route.requirements import requirements_of
from sinkside.route.resolving import resolve_on
from sinkside.route.set_holders import holders_not_made_for
from sinkside.route.set_lumens import too_many_lumens
from sinkside.route.sharing import Sharing, least_without_a_common_cycle, share
from sinkside.route.windows import Window, amount
from sinkside.sets import SetDocument

SPLIT = Wording(
    rule="route-no-common-cycle",
    level=Level.stop,
    message="No one sterilizing cycle here is named by every member of {set}, not even by {between}; "
    "cycles are not exchanged.",
    remedy="{change}",
)
SPLIT_EARLIER = Wording(
    rule="route-set-split-before-packing",
    level=Level.concern,
    message="{set} does not go together through the {station}: {groups}.",
    remedy="Take the set apart there and put it together again before packing, or split it for good.",
)
#: Where a set may be taken apart and come together again.
_BEFORE_PACKING = (Station.ultrasonic, Station.washer, Station.bench)

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
    packaging = _packaging_of(document, department)
    choices = {name: requirements_of(instruction) for name, instruction in members.items()}
    board = Board(department, packaging=packaging)
    sharing = share(choices, board)
    loads = _loads(sharing, Station.sterilizer)
    if sharing.unserved:
        loads.append(Load(members=tuple(name for name in members if name in sharing.unserved)))
    routes = tuple(
        resolve_on(
            instruction,
            Board(department, only=sharing.of_member(name), packaging=packaging),
            language=language,
        )
        for name, instruction in members.items()
    )
    conflicts = [
        *_too_heavy(document, members, department, language),
        *too_many_lumens(document, choices, loads, department, language=language),
        *holders_not_made_for(document, loads, department, language=language),
    ]
    changes: list[Change] = []
    if len(loads) > 1:
        changes += [*common_cycle_changes(choices, department, language), _split(loads, language)]
        conflicts.append(_no_common_cycle(document, choices, board, change=changes[0], language=language))
    earlier = [load for station in _BEFORE_PACKING for load in _loads(sharing, station)]
    found = _summed(document, department, routes, loads=loads, conflicts=conflicts, changes=changes)
    told = tuple(_splits_before_packing(earlier, members, document, language))
    return found.model_copy(update={"earlier_loads": tuple(earlier), "findings": told})


def _packaging_of(document: SetDocument, department: Department) -> str | None:
    """What the set lies in, if the department knows it; a set that names none lies in whatever does."""
    known = {item.id for item in department.packaging if item.kind in BARRIERS}
    return document.packaging if document.packaging in known else None


def _no_common_cycle(
    document: SetDocument,
    choices: Mapping[str, Sequence[Choice]],
    board: Board,
    *,
    change: Change,
    language: str,
) -> Finding:
    """That no cycle serves all, with the fewest members that already have none in common."""
    cycles = {name: _cycles_of(open_ways, board) for name, open_ways in choices.items()}
    named = {name: found for name, found in cycles.items() if found is not None}
    between = least_without_a_common_cycle(named)
    said = Phrase("{between}", {"between": list(between)}).text(language)
    evidence = {"set": document.name, "between": said, "change": change.sentence}
    return SPLIT.finding(evidence=evidence, language=language)


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


def _cycles_of(choices: Sequence[Choice], board: Board) -> frozenset[Cycle] | None:
    """The cycles here that a member's text names; None if the member is not sterilized."""
    found: set[Cycle] = set()
    sterilized = False
    for task in (task for choice in choices for option in choice.options for task in option):
        for need in task.needs:
            if isinstance(need, SteamNeed | GasNeed):
                sterilized = True
                able = [] if barred(need) else board.appraisal(need).candidates
                found.update(cycle for candidate in able if (cycle := program_of(candidate)))
    return frozenset(found) if sterilized else None


def _loads(sharing: Sharing, station: Station) -> list[Load]:
    """The members of each program at a station."""
    return [
        Load(members=names, machine=machine, program=program, station=station)
        for (machine, program), names in sharing.groups(station).items()
    ]


def _splits_before_packing(
    loads: Sequence[Load], members: Mapping[str, Instruction], document: SetDocument, language: str
) -> Iterator[Finding]:
    """Where the set does not go together into a bath, washer or cabinet: who goes where, and who does not."""
    for station in _BEFORE_PACKING:
        here = [load for load in loads if load.station is station]
        going = {name for load in here for name in load.members}
        left = tuple(name for name in members if name not in going)
        if here and (len(here) > 1 or left):
            everyone = [*here, *([Load(members=left, station=station)] if left else [])]
            evidence = {
                "set": document.name,
                "station": Phrase(station.value).text(language),
                "groups": _groups(everyone, "not put in").text(language),
            }
            yield SPLIT_EARLIER.finding(evidence=evidence, language=language)


def _groups(loads: Sequence[Load], without: str) -> Together:
    """The members of each load, and what those without a program are told."""
    return Together(
        tuple(
            Phrase(
                "{members} ({program})",
                {"members": list(load.members), "program": load.program or Phrase(without)},
            )
            for load in loads
        ),
        "; ",
    )


def _split(loads: Sequence[Load], language: str) -> Change:
    return Change(
        sentence=Phrase("Split the set: {groups}.", {"groups": _groups(loads, "no cycle here")}).text(
            language
        ),
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
