"""Instructions: read from a maker's document, kept, opened, reviewed."""

from __future__ import annotations

from pathlib import Path

from sinkside import documents
from sinkside.draft import draft as draft_document
from sinkside.errors import UnreadableFile
from sinkside.findings import Finding
from sinkside.instruction import Instruction
from sinkside.review import review as review_instruction

_INSTRUCTION_ENDINGS = {".yaml", ".yml", ".json"}
#: What can be drafted.
DOCUMENT_ENDINGS = {".txt", ".docx", ".pdf", ".png", ".jpg", ".jpeg", ".tif", ".tiff"}


def draft(path: Path, *, language: str | None = None) -> Instruction:
    """Read a maker's document into an instruction.

    Args:
        path: the document.
        language: the one to read, where it has several: English if it is there, else its own, unless told.

    Raises:
        UnreadableFile: if it cannot be read, or is of a kind that Sinkside does not read.
        BadInput: if the document has several languages, and the wanted one is none of them.
    """
    if path.suffix.lower() not in DOCUMENT_ENDINGS:
        raise UnreadableFile(
            f"'{path.suffix}' is no document that can be drafted; expected .txt, .docx, .pdf or a picture",
            resource=str(path),
        )
    return draft_document(path, language=language)


def keep(instruction: Instruction, path: Path) -> None:
    """Write an instruction; YAML or JSON by the ending.

    Raises:
        UnreadableFile: if it cannot be written there.
    """
    if path.suffix.lower() not in _INSTRUCTION_ENDINGS:
        raise UnreadableFile(
            f"'{path.suffix}' is no ending for an instruction; expected .yaml or .json", resource=str(path)
        )
    documents.save(instruction, path)


def open_instruction(path: Path) -> Instruction:
    """An instruction from its own file, or drafted from a maker's document.

    Raises:
        BadInput: if it cannot be read, or does not fit.
    """
    if path.suffix.lower() in _INSTRUCTION_ENDINGS:
        return documents.load(Instruction, path)
    return draft(path)


def review(instruction: Instruction, *, profile: str = "eu", altitude_m: float = 0.0) -> tuple[Finding, ...]:
    """What is contradictory, impossible or missing, worst first."""
    return review_instruction(instruction, profile=profile, altitude_m=altitude_m)
