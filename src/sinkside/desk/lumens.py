"""What goes through the lumens of a device: of a file, and of an instruction on the shelf in a department."""

from __future__ import annotations

from typing import Final

from sinkside.department import Department
from sinkside.desk import departments
from sinkside.desk.access import Visitor
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Archive
from sinkside.desk.remembered import Remembered
from sinkside.desk.shelf import OpenInstruction
from sinkside.flows import Conditions, LumenReport, lumen_report
from sinkside.instruction import FeatureKind, Instruction

#: By the digests of text and department, and by what is taken where neither says anything.
_REPORTS: Final = Remembered[tuple[str, str, Conditions], LumenReport](most=100)


def has_lumens(instruction: Instruction) -> bool:
    """Whether a device has a lumen, as far as its text tells."""
    return any(feature.kind is FeatureKind.lumen for feature in instruction.device.features)


def lumens_of_text(instruction: Instruction, department: Department | None = None) -> LumenReport:
    """What goes through the lumens of a device, with the air of a department where one is given."""
    return lumen_report(instruction, department)


def lumens_here(
    archive: Archive, who: Visitor, opened: OpenInstruction, conditions: Conditions
) -> LumenReport:
    """The same of an instruction on the shelf, with the air of the department where somebody may see it."""
    with archive.unit(writes=False) as unit:
        kept = unit.documents.get(departments.KIND, who.department) if who.may("department-read") else None
    key = (opened.revision.digest, kept.digest if kept else "", conditions)
    site = from_revision(kept, Department) if kept else None
    return _REPORTS.get(key, lambda: lumen_report(opened.instruction, site, conditions))
