"""What leaves the house of an instruction: its poster, the letter to its maker, and its data as YAML."""

from __future__ import annotations

import re
from datetime import datetime
from zoneinfo import ZoneInfo

from sinkside import documents
from sinkside.aids.letter import Letterhead, letter, letter_text
from sinkside.aids.papers import paper_pdf
from sinkside.desk.access import Visitor, require
from sinkside.desk.paper_making import PaperChoice, ground_in, request_of
from sinkside.desk.ports import Archive
from sinkside.desk.shelf import OpenInstruction, open_instruction, opened, row_of
from sinkside.errors import NotForTheFloor
from sinkside.plain.names import calm_name


def instruction_yaml(
    archive: Archive, who: Visitor, instruction: str, *, revision: int | None = None
) -> tuple[str, bytes]:
    """A revision as a YAML file, the latest unless told: its name and its content.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
    """
    shown = open_instruction(archive, who, instruction, revision=revision)
    return f"{_file_name(shown)}.yaml", documents.to_yaml(shown.instruction).encode()


def instruction_poster(
    archive: Archive,
    who: Visitor,
    instruction: str,
    *,
    now: datetime,
    revision: int | None = None,
    proof: bool = False,
) -> tuple[str, bytes]:
    """The proof of a revision's poster, the latest unless told: its file's name and the PDF.

    Findings that were answered no longer stand against it. What is to hang is printed among the papers, where
    it is known by its code.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is none here.
        NotForTheFloor: unless a proof is asked for, with what keeps the poster off the floor.
    """
    require(who, "instruction-read")
    with archive.unit(writes=False) as unit:
        ground = ground_in(unit, who, opened(unit, row_of(unit, who, instruction), revision))
    request = request_of(who, ground, PaperChoice(), now=now, live_url="", proof=proof)
    if not proof:
        request.refuse_unless_fit()
        raise NotForTheFloor(
            "what is to hang is printed under Papers, where it gets its code; ask for a proof to see it",
            resource=ground.device,
        )
    return f"{_file_name(ground.shown)}-proof.pdf", paper_pdf(request)


def instruction_letter(
    archive: Archive, who: Visitor, instruction: str, *, now: datetime, language: str = "en"
) -> tuple[str, bytes]:
    """The letter that asks the maker about what stands open in the latest revision: file name and text.

    English stands beside what no person has confirmed in the letter's language.

    Raises:
        NotAllowed: without the right to ask the maker.
        NotThere: if there is none here.
        BadInput: if letters are not written in the language.
    """
    require(who, "finding-answer")
    shown = open_instruction(archive, who, instruction)
    head = Letterhead(now.astimezone(ZoneInfo(who.zone)).date().isoformat())
    still_open = [one.finding for one in shown.findings if one.is_open]
    asked = letter(shown.instruction, still_open, head=head, language=language)
    return f"{_file_name(shown)}-questions-{language}.txt", letter_text(asked).encode()


def _file_name(shown: OpenInstruction) -> str:
    words = re.sub(r"[^a-z0-9]+", "-", calm_name(shown.instruction.device.name).casefold()).strip("-")
    return f"{words[:60] or 'instruction'}-{shown.revision.number}"
