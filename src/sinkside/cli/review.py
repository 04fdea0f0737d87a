"""`sinkside review`: what is contradictory, impossible or missing in an instruction."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from sinkside.cli.options import InstructionFile, Json, Profile
from sinkside.cli.output import MARKS, show, show_document

if TYPE_CHECKING:
    from sinkside.findings import Finding


def review(instruction: InstructionFile, profile: Profile = "eu", json: Json = False) -> None:
    """Find what is contradictory, impossible or missing in an instruction."""
    from sinkside.desk import instructions
    from sinkside.findings import FindingsDocument, Level, count_by_level

    findings = instructions.review(instructions.open_instruction(instruction), profile=profile)
    if json:
        show_document(FindingsDocument(findings=findings))
    else:
        counts = ", ".join(
            f"{number} {level.value}{'' if number == 1 else 's'}"
            for level, number in count_by_level(findings).items()
        )
        told = [finding_in_words(finding) for finding in findings]
        show("\n".join([f"{counts} in the maker's text", *told]))
    if any(finding.level is Level.stop for finding in findings):
        raise typer.Exit(1)


def finding_in_words(finding: Finding) -> str:
    """A finding for the terminal: the sentence, then its arithmetic, its place, its source, what to do."""
    lines = [f"{MARKS[finding.level.value]} {finding.level.value}: {finding.message}"]
    measures = [_evidence(name, value) for name, value in finding.evidence.items()]
    if measures:
        lines.append(f"    {'; '.join(measures)}")
    for place in (finding.place, *finding.more_places):
        if place.text:
            where = f"page {place.page}, line {place.line}: " if place.page else ""
            lines.append(f"    {where}“{place.text}”")
    if finding.source:
        where = ", ".join(part for part in (finding.source.title, finding.source.clause) if part)
        lines.append(f"    {where} ({finding.source.how_read})")
    if finding.remedy:
        lines.append(f"    → {finding.remedy}")
    return "\n".join(lines)


def _evidence(name: str, value: object) -> str:
    from sinkside.findings import Measure
    from sinkside.language import computed

    text = computed(value.value, value.unit) if isinstance(value, Measure) else str(value)
    return f"{name.replace('_', ' ')} {text}"
