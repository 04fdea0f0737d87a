"""Whether somebody skilled is on: heads on shifts held against stations and device of an instruction.

Nobody skilled is no conflict: a device can wait for a shift, a person can be taught. It is said all the same.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sinkside.department import WORKED_AT, Department, DeviceFamily, Matter, Shift, Staff, Station
from sinkside.findings import Level
from sinkside.instruction import Step
from sinkside.route.appraisal import Appraisal, Candidate, Remark
from sinkside.route.facts import Facts
from sinkside.route.needs import SkillNeed
from sinkside.route.phrases import Phrase
from sinkside.route.remarks import NOBODY_SKILLED, SKILL_NOT_AT_EVERY_SHIFT


class Skills:
    """The skills that an instruction asks for, each station once."""

    def __init__(self, facts: Facts) -> None:
        """Start with none."""
        self._facts = facts
        self._known: dict[Station, SkillNeed] = {}

    def at(self, station: Station, steps: tuple[Step, ...]) -> tuple[SkillNeed, ...]:
        """What work at a station asks for; nothing where none of the department's people works."""
        if station not in WORKED_AT:
            return ()
        wanted = Phrase("somebody skilled at the station {station}", {"station": Phrase(station.value)})
        need = SkillNeed(steps, wanted, station, self._facts.features, self._facts.instruction.device.name)
        return (self._known.setdefault(station, need),)


def appraise_skill(need: SkillNeed, department: Department) -> Appraisal:
    """The shifts: nothing is chosen, and where nobody skilled is on it is remarked."""
    remarks = _remarks(need, department) if department.shifts and department.staff else ()
    return Appraisal(candidates=[Candidate(bindings=(), why=need.wanted, remarks=remarks)])


def _remarks(need: SkillNeed, department: Department) -> tuple[Remark, ...]:
    families = [family for family in department.families if family.has(need.features, need.device)]
    asked = {family.id for family in families}
    without = [
        shift
        for shift in department.shifts
        if not any(_can(staff, shift, need.station, asked) for staff in department.staff)
    ]
    if not without:
        return ()
    evidence = {"station": need.station.value, "families": _family_words(families)}
    if len(without) == len(department.shifts):
        return (Remark(NOBODY_SKILLED, evidence),)
    level = department.level_of(Matter.skill_at_every_shift) or Level.note
    wording = replace(SKILL_NOT_AT_EVERY_SHIFT, level=Level(level))
    return (Remark(wording, {**evidence, "shifts": _shift_words(without)}),)


def _can(staff: Staff, shift: Shift, station: Station, families: set[str]) -> bool:
    """Whether some are on at a shift who can do the work; no family named means every device."""
    is_on = staff.shift == shift.id and staff.count > 0 and station in staff.stations
    return is_on and (not staff.families or families <= set(staff.families))


def _family_words(families: Sequence[DeviceFamily]) -> str:
    return ", ".join(family.name for family in families) or "this device"


def _shift_words(shifts: Sequence[Shift]) -> str:
    return ", ".join(f"{shift.name} ({shift.begins}–{shift.ends})" for shift in shifts)
