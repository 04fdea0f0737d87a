"""Table rows made into steps: the action and stage cells say what, the other cells add figures and states."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from sinkside.draft.blocks import is_row
from sinkside.draft.clauses import Clause, clauses_of, noun_action
from sinkside.draft.clocks import clock_of
from sinkside.draft.columns import behind_label
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.implying import fitting, phases_in
from sinkside.draft.known import Known
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.passage import Passage
from sinkside.draft.positions import positions_in
from sinkside.draft.rows import EMPTY, RowCells, cells_by_use, unit_of_head
from sinkside.draft.sections import Section
from sinkside.draft.stages import DEFAULT_ACTIONS, is_describing, names_only_a_stage, stages_for, stages_named
from sinkside.draft.stepmaker import StepMaker, add_figures
from sinkside.draft.stepping import StepDraft, air_removal_in, fill_words
from sinkside.instruction import Action, Stage
from sinkside.instruction.part_letters import letters_alone
from sinkside.quantities import FigureQuantity

#: In the row of a whole machine cycle these keep the stage that is theirs.
_LABEL_AND_VALUE = 2
_LONGEST_LABEL = 3
#: No cycle is as cool as a store room; gas is the coolest, at some 37 °C (common practice, no source).
_WARMEST_ROOM_C = 30.0
#: These name a stage in a label, and are done in others too.
_DONE_ANYWHERE = {Action.wipe, Action.rinse, Action.flush, Action.brush, Action.soak}
_WHERE_THINGS_DRY = {Stage.cleaning, Stage.disinfection, Stage.drying, Stage.sterilization}
_PHASES_OF_THEIR_OWN = {Action.disinfect, Action.dry}
#: Asked for beside other work of a row, these are done where they belong.
_DONE_ELSEWHERE = {Action.transport, Action.start_cleaning, Action.lubricate, Action.store, Action.count_use}


@dataclass(slots=True)
class RowReader:
    """Reads the rows of tables; an empty stage cell means the stage of the row above."""

    maker: StepMaker
    language: str
    known: Known
    _heads: tuple[str, ...] = ()
    _above: Section | None = field(default=None)
    _lead: Stage | None = field(default=None)

    def read(self, passage: Passage) -> tuple[list[StepDraft], list[tuple[Reading, list[Found]]]]:
        """The steps of a row (none if it asks for nothing), and what was read in each cell."""
        cells = cells_by_use(passage, self.language)
        outer = self.maker.section
        self.maker.section = self._section(passage, cells, self._led_in(outer))
        if outer.describing or self._only_describes(passage):
            self.maker.section = outer
            return [], self._described(passage)
        asked = [self._cell(cell.text, cell.head) for cell in cells.asking()]
        named = [self._cell(cell.text, cell.head) for cell in cells.naming()]
        main = self._main(passage, cells)
        steps = [main] if main else []
        if main:
            for reading, found in named:
                add_figures(main, reading, found)
            for reading, found in asked:
                steps.extend(self._add(passage, main, reading, found))
        self.maker.section = outer
        return steps, [*asked, *named]

    def _described(self, passage: Passage) -> list[tuple[Reading, list[Found]]]:
        """What the cells of a row say that asks for nothing; of two, the first may name the second."""
        cells = passage.cells[1:] if passage.number else passage.cells
        filled = [cell for cell in cells if cell.text.strip().lower() not in EMPTY]
        if len(filled) == _LABEL_AND_VALUE and not re.search(r"\d", filled[0].text):
            label, value = filled
            return [behind_label(label.text, value.text, self.language)]
        return [self._cell(cell.text, cell.head) for cell in filled]

    def _only_describes(self, passage: Passage) -> bool:
        """'LIMITS   140 °C / ultrasound no': a key word in the margin that begins no work."""
        first = passage.cells[0] if passage.cells else None
        if first is None or first.head or passage.number or len(passage.cells) < _LABEL_AND_VALUE:
            return False
        label = first.text.lower()
        whole = names_only_a_stage(label, self.language) and not stages_named(label, self.language)
        return whole and is_describing(label, self.language)

    def leave(self) -> None:
        """Forget the table above: a heading stands between it and what follows."""
        self._heads, self._above, self._lead = (), None, None

    def _led_in(self, outer: Section) -> Section:
        """Under a heading of several stages, 'Autoclave, pre-vacuum:' says which its table is about."""
        last = self.maker.last
        if last is not None and not is_row(last.origin.text):
            self._lead = last.stage if last.origin.text.endswith(":") else None
        led = self._lead is not None and len(outer.stages) > 1 and self._lead in outer.stages
        return replace(outer, stages=(self._lead,)) if led and self._lead else outer

    def _section(self, passage: Passage, cells: RowCells, outer: Section) -> Section:
        heads = tuple(cell.head for cell in passage.cells)
        own = "" if cells.text("stage") else self._own_label(cells.text("action"))
        if own:
            return Section(own, None, stages_named(own, self.language))
        stages = self._stages(cells.text("stage"), outer)
        section = Section(cells.text("stage") or outer.heading, None, stages or outer.stages)
        if not stages:
            same_table = heads == self._heads and not cells.text("stage")
            section = self._above if same_table and self._above else outer
        self._heads, self._above = heads, section if stages or section is self._above else None
        return section

    def _own_label(self, text: str) -> str:
        """'WD: hot air', 'Stock': without a cell for the stage, the words of a row may name its own."""
        label, colon, _ = text.partition(":")
        label = label if colon else text
        short = len(label.split()) <= _LONGEST_LABEL and names_only_a_stage(label, self.language)
        return label if short and noun_action(read_words(label.lower(), self.language)) is None else ""

    def _stages(self, label: str, outer: Section) -> tuple[Stage, ...]:
        """The stages of a label; 'First flush' under 'After use' only says what is done there."""
        action = noun_action(read_words(label.lower(), self.language))
        inside = action in _DONE_ANYWHERE and set(outer.stages) & set(stages_for(action))
        return outer.stages if action and inside else stages_named(label, self.language)

    def _cell(self, text: str, head: str) -> tuple[Reading, list[Found]]:
        reading = read_words(text, self.language)
        unit = unit_of_head(head, self.language)
        known = replace(self.known, clock=clock_of(head) or self.known.clock)
        found = FigureGrammar(reading, default_unit=unit, known=known).read()
        kind = read_words(head, self.language).all("pressure_reference")
        return reading, [_referred(one, kind[0].value) for one in found] if kind else found

    def _main(self, passage: Passage, cells: RowCells) -> StepDraft | None:
        """The step of a row: from its action, else its stage; under sterilization a hot row is a cycle."""
        if Stage.sterilization in self.maker.section.stages and self._is_hot(cells):
            return self._step(passage, cells, Action.sterilize)
        if self._is_lethal(cells):
            return self._step(passage, cells, Action.disinfect)
        readings = [read_words(cell.text, self.language) for cell in cells.cells("action", "stage", "value")]
        for reading in readings:
            clauses = clauses_of(reading)
            action = clauses[0].action if clauses else fitting(reading, self.maker.section.stages)
            if action is not None and not self._only_says_dry(action, cells):
                return self._step(passage, cells, action)
        if not cells.text("stage") and self.maker.section.heading:
            readings.append(read_words(self.maker.section.heading.lower(), self.language))
        named = next((action for action in map(noun_action, readings) if action is not None), None)
        if named is not None and not self._only_says_dry(named, cells):
            return self._step(passage, cells, named)
        stages = self.maker.section.stages
        return self._step(passage, cells, DEFAULT_ACTIONS.get(stages[0], Action.other)) if stages else None

    def _only_says_dry(self, action: Action, cells: RowCells) -> bool:
        """'Closed box, dry towel' in a row of transport dries nothing: its stage cell says what is done."""
        own = stages_named(cells.text("stage"), self.language)
        return action is Action.dry and bool(own) and not set(own) & _WHERE_THINGS_DRY

    def _is_lethal(self, cells: RowCells) -> bool:
        """'Heat … A0 3000' disinfects, where nothing in its row is asked for by name."""
        named = (noun_action(read_words(cell.text, self.language)) for cell in cells.cells("action", "stage"))
        if any(action not in {None, Action.wash} for action in named):
            return False
        found = [one for cell in cells.asking() for one in self._cell(cell.text, cell.head)[1]]
        return any(
            x.quantity is FigureQuantity.lethality and x.unit == "s" for one in found for x in one.figures
        )

    def _is_hot(self, cells: RowCells) -> bool:
        found = [one for cell in cells.asking() for one in self._cell(cell.text, cell.head)[1]]
        return any(
            x.quantity is FigureQuantity.temperature and x.ends("°C")[0] > _WARMEST_ROOM_C
            for one in found
            for x in one.figures
        )

    def _step(self, passage: Passage, cells: RowCells, action: Action) -> StepDraft:
        words = read_words(" ; ".join(cell.text for cell in cells.cells("part", "action")), self.language)
        step = self.maker.step(passage, Clause(action, 0, 0, len(words.tokens), "a table row"), words)
        # "K D H" are three parts, and no kelvin.
        alone = [letter for cell in passage.cells for letter in letters_alone(cell.text)]
        parts = [letter for letter in alone if letter in self.maker.device.parts]
        step.on = tuple(dict.fromkeys([*parts, *step.on]))
        medium = cells.text("medium")
        reading, found = self._cell(medium, "")
        until = next((one.first for one in found if one.figures), len(reading.tokens))
        step.with_ = reading.words(0, until).strip(" ,(") or None
        step.air_removal = air_removal_in(read_words(passage.text, self.language)) or step.air_removal
        return step

    def _add(
        self, passage: Passage, main: StepDraft, reading: Reading, found: list[Found]
    ) -> list[StepDraft]:
        """What one cell adds to the step of its row, and the further steps that it asks for."""
        same = {main.action, Action.dry} if main.action is Action.sterilize else {main.action}
        asked = max(clauses_of(reading), phases_in(reading), key=len)
        # "Dry towel" in a row of transport asks for no drying.
        same |= set() if main.stage in _WHERE_THINGS_DRY else {Action.dry}
        others = [clause for clause in asked if clause.action not in same]
        if not others or reading.has("prohibition"):
            add_figures(main, reading, found)
            main.positions = {**positions_in(reading), **main.positions}
            main.cautions.extend([reading.text] if reading.has("prohibition") else [])
            fill_words(main, reading, 0, len(reading.tokens))
            return []
        inside = [[one for one in found if x.first <= one.first < x.last] for x in others]
        add_figures(main, reading, [one for one in found if not any(one in group for group in inside)])
        return [
            self._further(passage, main, clause, reading, group)
            for clause, group in zip(others, inside, strict=True)
        ]

    def _further(
        self, passage: Passage, main: StepDraft, clause: Clause, reading: Reading, found: list[Found]
    ) -> StepDraft:
        step = self.maker.step(passage, clause, reading)
        step.on = step.on or main.on
        own = _PHASES_OF_THEIR_OWN | _DONE_ELSEWHERE
        if step.action not in own and main.asked is None:
            step.stage = main.stage
        add_figures(step, reading, found)
        return step


def _referred(found: Found, kind: str) -> Found:
    """A reading whose pressures count from where the head of the column says."""
    figures = tuple(
        figure.model_copy(update={"reference": kind})
        if figure.quantity is FigureQuantity.pressure and figure.reference in {None, "unsaid"}
        else figure
        for figure in found.figures
    )
    return replace(found, figures=figures)
