"""Operations as rows of a paper: letter, pictogram, sentence, figures, cautions, the device drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from sinkside.aids.figures import ShownFigure, shown_figures, shown_phases
from sinkside.aids.operations import Row, StationGroup, by_station, rows_of, station_label
from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.setting import Values
from sinkside.aids.pictograms import caution_kind, pictogram_svg
from sinkside.aids.words import PlainWords, phase_name, plain_words, program_of, steps_of
from sinkside.instruction import Instruction
from sinkside.language import render
from sinkside.route import Operation


@dataclass(frozen=True)
class RowMaker:
    """What rows are made with: the text, the reader's language and the one beside it, the drawings so far.

    Attributes:
        instruction: the text that the operations carry out.
        language: the reader's.
        beside: a second language for the headlines, or none.
        drawings: which states of the device were drawn, so that none is drawn twice.
    """

    instruction: Instruction
    language: str = "en"
    beside: str | None = None
    drawings: Drawings | None = field(default=None, compare=False)

    def groups(self, operations: Iterable[Operation]) -> list[Values]:
        """Operations by station, each with its rows."""
        return [self.group(group) for group in by_station(operations)]

    def group(self, group: StationGroup) -> Values:
        """One station's operations; phases of one machine program name it once."""
        return {"station": station_label(group.station, self.language), "rows": self.rows(group.operations)}

    def rows(self, operations: Sequence[Operation]) -> list[Values]:
        """Operations that follow each other, as rows."""
        shown = []
        running = ""
        for row in rows_of(operations):
            program = program_of(row.operation)
            name = program.id + (program.program or "") if program else ""
            shown.append(self._row(row, is_next_phase=bool(name) and name == running))
            running = name
        return shown

    def _row(self, row: Row, *, is_next_phase: bool) -> Values:
        operation, language = row.operation, self.language
        words = plain_words(operation, self.instruction, language)
        steps = steps_of(operation, self.instruction)
        is_block = len(steps) > 1 and any(step.figures for step in steps)
        program = program_of(operation)
        named = f"{program.name}, “{program.program}”" if program and program.program else ""
        return {
            "letter": operation.letter,
            "pictogram": pictogram_svg(operation.action.value),
            "headline": words.headline,
            "beside": self._beside(operation, words),
            "details": [detail for detail in words.details if not (is_next_phase and detail == named)],
            "cautions": [shown_caution(caution) for caution in words.cautions],
            "figures": [] if is_block else shown(shown_figures(operation, language), language),
            "phases": [
                {
                    "name": phase_name(step, language) if step else "",
                    "figures": shown(figures, language),
                }
                for step, figures in shown_phases(operation, steps, language)
            ]
            if is_block
            else [],
            "attached": [self._attached(one) for one in row.attached],
            "drawing": self.drawings.of(operation) if self.drawings else None,
        }

    def _beside(self, operation: Operation, words: PlainWords) -> str:
        if self.beside is None:
            return ""
        other = plain_words(operation, self.instruction, self.beside).headline
        return "" if other == words.headline else other

    def _attached(self, operation: Operation) -> Values:
        words = plain_words(operation, self.instruction, self.language)
        return {
            "letter": operation.letter,
            "headline": words.headline,
            "details": list(words.details),
            "cautions": list(words.cautions),
        }


def said_row(sentence: str) -> Values:
    """A sentence that no operation says, as a row of its own."""
    return {"letter": "!", "headline": sentence, **_NOTHING}


def shown_caution(sentence: str) -> Values:
    """A caution with the pictogram of its kind, if it is of one."""
    kind = caution_kind(sentence)
    return {"pictogram": pictogram_svg(kind) if kind else "", "text": sentence}


_NOTHING: Mapping[str, object] = {
    "pictogram": "", "beside": "", "details": [], "cautions": [], "figures": [], "phases": [],
    "attached": [], "drawing": None,
}  # fmt: skip


def shown(figures: Iterable[ShownFigure], language: str) -> list[Values]:
    """Figures with what they must lie in."""
    return [
        {
            "number": figure.number,
            "unit": figure.unit,
            "label": figure.label,
            "must": render("must be {range}", {"range": figure.must}, language) if figure.must else "",
            "range": figure.must,
        }
        for figure in figures
    ]
