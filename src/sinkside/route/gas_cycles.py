"""Cycles of gas or vapour held against what an instruction names, and their lumen claims against the device.

Only a cycle that the text names is looked at; a claim never makes a cycle named.
"""

from __future__ import annotations

from dataclasses import replace

from sinkside.department import Department, Machine, MachineKind, Program
from sinkside.route import sizes
from sinkside.route.appraisal import Appraisal, Refusal, Remark, Repair
from sinkside.route.lumens import Outside, claims_wanted, outside, unsaid
from sinkside.route.needs import GasNeed
from sinkside.route.other_machines import candidate, exposure_faults, exposure_uses, machine_wanted, refusal
from sinkside.route.phrases import Phrase, Words
from sinkside.route.remarks import CLAIMED_LUMEN_UNSAID, LUMENS_NOT_CLAIMED


def appraise_gas(need: GasNeed, department: Department) -> Appraisal:
    """The gas sterilizers: the agent by name, temperature and time as stated, every lumen inside a claim."""
    found = Appraisal(purchase=machine_wanted(need))
    for machine in department.machines:
        if machine.kind is not MachineKind.gas_sterilizer:
            continue
        for program in machine.programs:
            faults = _faults(need, program)
            beyond = lumens_outside(need, program, count=len(need.lumens))
            if faults or beyond:
                found.refusals.append(_refusal(need, machine, program, faults=faults, beyond=beyond))
            else:
                uses = exposure_uses(program, need.temperature, need.exposure)
                able = candidate(machine, program, uses)
                remarks = _remarks(need, program)
                why = _why(machine, program) if need.lumens and not remarks else able.why
                found.candidates.append(replace(able, why=why, sterilizes=True, remarks=remarks))
    return found


def _why(machine: Machine, program: Program) -> Phrase:
    return Phrase(
        "{program} on {machine} keeps every stated figure, and every lumen lies inside its claims",
        {"program": program.name, "machine": machine.name},
    )


def _faults(need: GasNeed, program: Program) -> dict[str, Words]:
    found = exposure_faults(program, need.temperature, need.exposure)
    if not set(need.agent.casefold().split()) <= set(program.name.casefold().replace(",", " ").split()):
        found["agent"] = Phrase("it is named {name}", {"name": program.name})
    return found


def lumens_outside(need: GasNeed, program: Program, *, count: int) -> list[Outside]:
    """The lumens of a device that no claim of a program holds; none where the program tells no claims.

    Args:
        need: with the device's lumens.
        program: with its claims.
        count: how many lumens lie in the load, those of other devices included.
    """
    return list(outside(need.lumens, program.lumen_claims, count=count)) if program.lumen_claims else []


def _refusal(
    need: GasNeed, machine: Machine, program: Program, *, faults: dict[str, Words], beyond: list[Outside]
) -> Refusal:
    """Why a program does not do; where its claims alone are short, the smallest claims that would do."""
    if not beyond:
        return refusal(need, machine, program, faults, is_fixed="agent" in faults)
    told = {**faults, **{f"lumen {number}": one.words for number, one in enumerate(beyond)}}
    found = refusal(need, machine, program, told, is_fixed=True)
    if faults:
        return found
    asking = Phrase(
        "Ask the maker of {machine} whether {program} reaches: {claims}.",
        {"machine": machine.name, "program": program.name, "claims": claims_wanted(beyond)},
    )
    return replace(found, repair=Repair(asking, sizes.ASK_THE_MAKER))


def _remarks(need: GasNeed, program: Program) -> tuple[Remark, ...]:
    if not need.lumens:
        return ()
    if not program.lumen_claims:
        count = f"{len(need.lumens)} lumen{'' if len(need.lumens) == 1 else 's'}"
        return (Remark(LUMENS_NOT_CLAIMED, {"program": program.name, "count": count}),)
    open_ends = (
        (lumen, unsaid(lumen, program.lumen_claims, count=len(need.lumens))) for lumen in need.lumens
    )
    return tuple(
        Remark(
            CLAIMED_LUMEN_UNSAID,
            {"program": program.name, "lumen": lumen.name, "unsaid": " and ".join(told)},
        )
        for lumen, told in open_ends
        if told
    )
