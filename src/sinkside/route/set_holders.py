"""What the members of a set lie in, inside its packaging, against the cycle of their load."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sinkside.department import Department, Program, ProgramKind, SterilizingMethod
from sinkside.findings import Finding, Level, Wording
from sinkside.route.document import Load
from sinkside.route.packing import NamedCycle, why_not
from sinkside.route.set_lumens import program_of_load
from sinkside.route.windows import amount
from sinkside.route.words import sterilizing_method
from sinkside.sets import SetDocument

HOLDER_NOT_FOR_CYCLE = Wording(
    rule="route-set-holder-not-for-cycle",
    level=Level.stop,
    message="In {set}, {holder} does not go through {program} ({machine}): {fault}.",
    remedy="Lay {members} in something that is made for {program}.",
)

#: How a steam program gets the air out.
_WAYS = {
    ProgramKind.steam_prevacuum: "prevacuum",
    ProgramKind.steam_gravity: "gravity",
    ProgramKind.steam_pulse: "pulse",
}


def holders_not_made_for(
    document: SetDocument, loads: Sequence[Load], department: Department, *, language: str
) -> Iterator[Finding]:
    """Trays, mats and protectors that members lie in, and that are not made for the cycle of their load.

    Args:
        document: the set, with what each member lies in.
        loads: the sterilizing loads.
        department: what the site has; a holder that it does not know is not judged.
        language: of the sentences.

    Raises:
        BadInput: if the language is unknown.
    """
    known = {item.id: item for item in department.packaging}
    for load in loads:
        program = program_of_load(load, department)
        lying = {
            member.holder: member.instruction
            for member in document.members
            if member.holder in known and member.instruction in load.members
        }
        for holder, member in lying.items() if program else ():
            item = known[holder or ""]
            fault = why_not(item, _run(program)) if program else None
            if fault and program:
                evidence = {
                    "set": document.name,
                    "holder": item.name,
                    "program": program.name,
                    "machine": load.machine,
                    "fault": fault.text(language),
                    "members": member,
                }
                yield HOLDER_NOT_FOR_CYCLE.finding(evidence=evidence, language=language)


def _run(program: Program) -> NamedCycle:
    """What a program asks of packaging."""
    set_c = (amount(program.exposure.temperature, "°C"),) if program.exposure else ()
    if program.kind in _WAYS:
        return NamedCycle(SterilizingMethod.steam.value, _WAYS[program.kind], set_c)
    method = sterilizing_method(program.name)
    return NamedCycle(method.value if method else program.name, "", set_c)
