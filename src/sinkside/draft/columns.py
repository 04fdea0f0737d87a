"""Tables on their side: the parameters name the rows, the cycles or phases name the columns."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TypeAlias

from sinkside.draft.clauses import Clause, noun_action
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.passage import Passage
from sinkside.draft.rows import EMPTY, unit_of_head
from sinkside.draft.stages import DEFAULT_ACTIONS
from sinkside.draft.stepmaker import StepMaker, add_figures
from sinkside.draft.stepping import StepDraft, air_removal_in, fill_words
from sinkside.instruction import Action, Origin

_LEAST_ROWS = 2
_PARAMETERS = {"value", "medium"}
#: "Number of cycles (forceps)": what it is of is no part of the name.
_IN_PARENTHESES = re.compile(r"\s*\([^)]*\)")


#: A step, and what was read in the cells that made it.
StepAndCells: TypeAlias = tuple[StepDraft, list[tuple[Reading, list[Found]]]]


def on_its_side(rows: list[Passage], language: str) -> bool:
    """Whether the first cells name parameters and the heads name cycles or phases."""
    heads = [cell.head for cell in rows[0].cells[1:] if cell.head]
    if len(rows) < _LEAST_ROWS or not heads:
        return False
    labels = [read_words(row.cells[0].text.lower(), language) for row in rows]
    named = [read_words(head.lower(), language) for head in heads]
    parameters = sum(1 for label in labels if any(x.value in _PARAMETERS for x in label.all("column")))
    cycles = sum(1 for head in named if any(head.has(kind) for kind in ("stage", "action", "air_removal")))
    return parameters * 2 >= len(rows) and cycles * 2 >= len(heads)


@dataclass(slots=True)
class ColumnReader:
    """Reads each column of a table on its side as one step."""

    maker: StepMaker
    language: str

    def read(self, rows: list[Passage]) -> list[StepAndCells]:
        """A step for each column with what was read in its cells."""
        steps = []
        for column in range(1, len(rows[0].cells)):
            filled = [row for row in rows if row.cells[column].text.strip().lower() not in EMPTY]
            if filled:
                steps.append(self._step(filled, column))
        return steps

    def _step(self, rows: list[Passage], column: int) -> StepAndCells:
        head = rows[0].cells[column].head
        pairs = [(row.cells[0].text, row.cells[column].text) for row in rows]
        words = f"{head}: {'; '.join(f'{label} {text}' for label, text in pairs)}"
        reading = read_words(words, self.language)
        stages = self.maker.section.stages
        usual = DEFAULT_ACTIONS.get(stages[0], Action.other) if stages else Action.other
        named = noun_action(read_words(head, self.language))
        action = usual if usual is Action.sterilize else named or usual
        whole = Clause(action, 0, 0, len(reading.tokens), "a table column")
        step = self.maker.step(rows[0], whole, reading)
        step.origin = Origin(page=rows[0].page, line=rows[0].line, line_end=rows[-1].line_end, text=words)
        step.air_removal = air_removal_in(read_words(head, self.language)) or step.air_removal
        fill_words(step, reading, 0, len(reading.tokens))
        read = [behind_label(label, text, self.language) for label, text in pairs]
        for cell, found in read:
            add_figures(step, cell, found)
        return step, read


def behind_label(label: str, text: str, language: str) -> tuple[Reading, list[Found]]:
    """A cell read behind its label, which binds it, names it and says its part; the words are the cell's."""
    unit = unit_of_head(label, language)
    alone = read_words(text, language)
    found = FigureGrammar(alone, default_unit=unit).read()
    if unit:
        return alone, found
    name = _IN_PARENTHESES.sub("", label)
    for words in (name, name.partition(" ")[0]):
        together = read_words(f"{words} {text}", language)
        behind = FigureGrammar(together).read()
        if not any(one.unread for one in behind):
            break
    written = [figure.as_written for one in found for figure in one.figures]
    told = sum(len(one.figures) for one in behind)
    written = [text] if told == 1 and not written else written
    if len(written) != told:
        return alone, found
    return together, [_in_words(one, written) for one in behind]


def _in_words(found: Found, written: list[str]) -> Found:
    figures = tuple(figure.model_copy(update={"as_written": written.pop(0)}) for figure in found.figures)
    return Found(found.pattern, found.first, found.last, figures, found.unread)
