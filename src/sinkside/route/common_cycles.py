"""Which one validated program would serve every member of a set that has no cycle in common here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sinkside.department import Department, Machine, MachineKind, Program, ValidatedProgram
from sinkside.documents import to_json
from sinkside.quantities import Quantity
from sinkside.route import proposals, sizes
from sinkside.route.conflicts import barred
from sinkside.route.document import Change
from sinkside.route.needs import Choice, SteamNeed
from sinkside.route.phrases import Phrase
from sinkside.route.steam_cycles import KIND_OF_AIR_REMOVAL, steam_faults

_TOLD = 3


def common_cycle_changes(
    members: Mapping[str, Sequence[Choice]], department: Department, language: str
) -> list[Change]:
    """Programs that, once validated, every member's text names; the smallest change first.

    Each has been held against every member: it is the cycle that all of them name, or it is not told.

    Args:
        members: What each member's instruction leaves open.
        department: What the site has.
        language: The language of the sentences.

    Raises:
        BadInput: if the language is unknown.
    """
    needs = {name: _steam_needs(choices) for name, choices in members.items()}
    needs = {name: named for name, named in needs.items() if named}
    sterilizers = [m for m in department.machines if m.kind is MachineKind.steam_sterilizer]
    found: dict[str, Change] = {}
    for machine in sterilizers:
        for size, edit in _proposals(machine, needs):
            if all(any(not steam_faults(need, edit.program) for need in named) for named in needs.values()):
                words = Phrase(
                    "Validate on {machine}: {program}. It serves every member.",
                    {"machine": machine.name, "program": _in_words(edit.program)},
                )
                change = Change(sentence=words.text(language), resolves=tuple(needs), size=size, edit=edit)
                found.setdefault(to_json(edit, compact=True), change)
    return sorted(found.values(), key=lambda change: change.size)[:_TOLD]


def _steam_needs(choices: Sequence[Choice]) -> list[SteamNeed]:
    every = (
        need for choice in choices for option in choice.options for task in option for need in task.needs
    )
    return [need for need in every if isinstance(need, SteamNeed) and not barred(need)]


def _proposals(
    machine: Machine, needs: Mapping[str, Sequence[SteamNeed]]
) -> Iterator[tuple[int, ValidatedProgram]]:
    """Its programs with the drying or pulses of one member, then one member's cycle as a new program."""
    every = [need for named in needs.values() for need in named]
    for need in every:
        for program in machine.programs:
            if program.exposure is None:
                continue
            edit = proposals.altered(need, machine, program)
            if isinstance(edit, ValidatedProgram):
                yield sizes.ONE_FIGURE_OF_A_PROGRAM, edit
    for need in every:
        if need.air_removal is not None:
            edit = proposals.new_steam_program(need, machine, KIND_OF_AIR_REMOVAL[need.air_removal])
            if isinstance(edit, ValidatedProgram):
                yield sizes.NEW_PROGRAM, edit


def _in_words(program: Program) -> str:
    """A program by its figures: 132 °C, 4 min, drying 30 min."""
    exposure = program.exposure
    figures: list[Quantity] = [exposure.temperature, exposure.time] if exposure else []
    told = [str(figure) for figure in figures]
    return ", ".join([*told, *([f"drying {program.drying.time}"] if program.drying else [])])
