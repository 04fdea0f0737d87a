"""How many lumens the members of a set bring into one low-temperature load, against the program's claims."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from sinkside.department import Department, Program
from sinkside.findings import Finding, Level, Wording
from sinkside.route.document import Load
from sinkside.route.gas_cycles import lumens_outside
from sinkside.route.needs import Choice, GasNeed
from sinkside.sets import SetDocument

TOO_MANY_LUMENS = Wording(
    rule="route-set-too-many-lumens",
    level=Level.stop,
    message="{set} brings {count} lumens into a load of {program} ({machine}); with {lumen} it takes {most}.",
    remedy="Split the set.",
)


def too_many_lumens(
    document: SetDocument,
    choices: Mapping[str, Sequence[Choice]],
    loads: Sequence[Load],
    department: Department,
    *,
    language: str,
) -> Iterator[Finding]:
    """Where members that go alone do not go together: claims count every lumen in the load.

    Args:
        document: the set, with how often each member is in it.
        choices: what each member's instruction leaves open.
        loads: the sterilizing loads.
        department: what the site has.
        language: of the sentences.

    Raises:
        BadInput: if the language is unknown.
    """
    counts: dict[str, int] = {}
    for member in document.members:
        counts[member.instruction] = counts.get(member.instruction, 0) + member.count
    for load in loads:
        needs = {name: need for name in load.members if (need := _gas_need(choices[name]))}
        program = program_of_load(load, department)
        if program is None or not needs:
            continue
        count = sum(len(need.lumens) * counts[name] for name, need in needs.items())
        beyond = (one for need in needs.values() for one in lumens_outside(need, program, count=count))
        first = next(beyond, None)
        if first is not None:
            evidence: dict[str, str | int] = {
                "set": document.name,
                "count": count,
                "program": program.name,
                "machine": load.machine,
                "lumen": first.lumen.words.text(language),
                "most": first.nearest.lumens,
            }
            yield TOO_MANY_LUMENS.finding(evidence=evidence, language=language)


def _gas_need(choices: Sequence[Choice]) -> GasNeed | None:
    """A member's cycle of gas or vapour; its lumens are the same whichever it is."""
    every = (
        need for choice in choices for option in choice.options for task in option for need in task.needs
    )
    return next((need for need in every if isinstance(need, GasNeed)), None)


def program_of_load(load: Load, department: Department) -> Program | None:
    """The program that a load goes through; None where it found none."""
    return next(
        (
            program
            for machine in department.machines
            for program in machine.programs
            if machine.id == load.machine and program.name == load.program
        ),
        None,
    )
