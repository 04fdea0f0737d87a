"""What of a department satisfies a need, and why each other thing does not."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from sinkside.department import BARRIERS, Department, Edit, changed
from sinkside.route import (
    chemistry,
    gas_cycles,
    other_machines,
    packing,
    skills,
    steam_cycles,
    supplies,
    washing,
    waters,
)
from sinkside.route.appraisal import Appraisal, Candidate
from sinkside.route.document import ResourceKind
from sinkside.route.needs import (
    AirNeed,
    BathNeed,
    BrushNeed,
    CabinetNeed,
    ChemicalNeed,
    GasNeed,
    LubricantNeed,
    Need,
    PackagingNeed,
    SkillNeed,
    SteamNeed,
    ToolNeed,
    WasherNeed,
    WaterNeed,
)

#: Each kind of need has its own appraiser; the type of the need is the key, so `Any` loses nothing here.
_APPRAISERS: Mapping[type[Need], Callable[[Any, Department], Appraisal]] = {
    SteamNeed: steam_cycles.appraise_steam,
    GasNeed: gas_cycles.appraise_gas,
    WasherNeed: washing.appraise_washer,
    BathNeed: other_machines.appraise_bath,
    CabinetNeed: other_machines.appraise_cabinet,
    WaterNeed: waters.appraise_water,
    ChemicalNeed: chemistry.appraise_chemical,
    BrushNeed: supplies.appraise_brush,
    LubricantNeed: supplies.appraise_lubricant,
    AirNeed: supplies.appraise_air,
    ToolNeed: supplies.appraise_tool,
    PackagingNeed: packing.appraise_packaging,
    SkillNeed: skills.appraise_skill,
}


def appraise(need: Need, department: Department) -> Appraisal:
    """Hold everything of a department that could satisfy a need against it.

    Candidates satisfy it; refusals say in one sentence each why they do not, and what would change that.

    Raises:
        BadQuantity: if a thing of the department carries a unit that measures something else.
    """
    return _APPRAISERS[type(need)](need, department)


#: A machine's id and the name of one of its programs.
Cycle = tuple[str, str]


class Board:
    """The appraisals of one department, each made once; machines may be held to some of their programs.

    A member of a set goes where the set goes: `only` are the programs that the set shares, `packaging` the id
    of what the set lies in.
    """

    def __init__(
        self, department: Department, *, only: frozenset[Cycle] | None = None, packaging: str | None = None
    ) -> None:
        """Start with none."""
        self.department = department
        self.only = only
        self.packaging = packaging
        self._known: dict[int, tuple[Need, Appraisal]] = {}

    def appraisal(self, need: Need) -> Appraisal:
        """The appraisal of a need, made at the first asking."""
        known = self._known.get(id(need))
        if known is None:
            known = (need, self._held(appraise(need, self.department)))
            self._known[id(need)] = known
        return known[1]

    def with_change(self, edit: Edit) -> Board:
        """The board of the department as it would be with a change made."""
        return Board(changed(self.department, edit), only=self.only, packaging=self.packaging)

    def would_do(self, need: Need, edit: Edit) -> bool:
        """Whether a need is satisfied once a change of the department is made."""
        return bool(appraise(need, changed(self.department, edit)).candidates)

    def _held(self, appraisal: Appraisal) -> Appraisal:
        """The appraisal without what the set does not share."""
        if self.only is not None or self.packaging is not None:
            appraisal.candidates = [
                candidate for candidate in appraisal.candidates if self._is_allowed(candidate)
            ]
        return appraisal

    def _is_allowed(self, candidate: Candidate) -> bool:
        if candidate.packs is not None:
            is_barrier = candidate.packs.kind in BARRIERS
            return self.packaging is None or not is_barrier or candidate.packs.id == self.packaging
        cycle = program_of(candidate)
        return cycle is None or self.only is None or cycle in self.only


def program_of(candidate: Candidate) -> Cycle | None:
    """The machine and program of a candidate that a machine does; None for everything else."""
    if not candidate.bindings:
        return None
    first = candidate.bindings[0]
    return (first.id, first.program or "") if first.kind is ResourceKind.program else None
