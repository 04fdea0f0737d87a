"""For whom forms and labels are printed in the house."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.aids.papers.bilingual import Readers
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit
from sinkside.desk.reading_habits import habits_here
from sinkside.desk.translations import reviewed_templates
from sinkside.language import REFERENCE_LANGUAGE


@dataclass(frozen=True)
class ReadIn:
    """In which language somebody wants a form or label, and whether as a proof."""

    language: str = REFERENCE_LANGUAGE
    proof: bool = False


def readers_in(unit: Unit, who: Visitor, wanted: ReadIn) -> Readers:
    """Readers of a language here: the department's own names, and what the house has reviewed.

    Raises:
        BadInput: if plain words are not written in the language.
    """
    return Readers(
        languages=(wanted.language,),
        glossary=habits_here(unit, who.department).glossary,
        reviewed=reviewed_templates(unit, wanted.language),
        proof=wanted.proof,
    )
