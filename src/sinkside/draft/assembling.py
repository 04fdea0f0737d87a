"""Passages into steps, statements and limits, in order; every figure finds a place or is kept for a human."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field, replace

from sinkside.draft.bounding import with_distant_bounds
from sinkside.draft.clauses import Clause, clauses_of
from sinkside.draft.columns import ColumnReader, on_its_side
from sinkside.draft.device import DeviceDraft
from sinkside.draft.forbidding import forbids_alone
from sinkside.draft.front import PARAMETER, is_label
from sinkside.draft.governing import Rule, alternatives, govern, share_within_items
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.guessing import Place, guessed_stages
from sinkside.draft.implying import before_ban, behind_ban, implied, listed_phases, one_cycle
from sinkside.draft.known import Known
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.part_lists import with_thrown_away
from sinkside.draft.passage import Passage, PassageKind
from sinkside.draft.positions import positions_in
from sinkside.draft.rows import EMPTY, tells_work
from sinkside.draft.sections import Section
from sinkside.draft.settling import settle
from sinkside.draft.stages import names_only_a_stage, says_only_how, stages_for, stages_named
from sinkside.draft.statements import about, can_limit, limit_from, limits_of, statement_kind
from sinkside.draft.stepmaker import StepMaker, add_figures
from sinkside.draft.stepping import StepDraft, numerals_in, origin_of
from sinkside.draft.tabling import RowReader
from sinkside.draft.telling import told
from sinkside.draft.told_by_figures import told_by_figures
from sinkside.draft.veiled import veiled
from sinkside.instruction import (
    Action,
    DeviceLimit,
    FigureRole,
    Heading,
    Instruction,
    NotUnderstood,
    Stage,
    Statement,
    StatementKind,
)
from sinkside.quantities import Figure

_WORDS_AROUND = 3
_LIMITS_OF_STEPS = {"temperature", "water-temperature", "pressure"}

#: Phases of a machine cycle; a run-in list of them is a list of items, each with its own words.
_PHASES = {Action.pre_rinse, Action.wash, Action.rinse, Action.disinfect, Action.dry}
_LEAST_PHASES = 3


def _heads_of(passage: Passage) -> tuple[str, ...]:
    return tuple(cell.head for cell in passage.cells)


def _untitled(passages: list[Passage], language: str) -> list[Passage]:
    """'Looking after the sheath' over a whole text of prose is its title, and heads no stage."""
    heads = [x for x in passages if x.kind is PassageKind.heading and stages_named(x.text, language)]
    if len(heads) != 1 or heads[0].number or names_only_a_stage(heads[0].text, language):
        return passages
    place = passages.index(heads[0])
    opens = all(x.kind in {PassageKind.front, PassageKind.heading} for x in passages[:place])
    if not opens or any(x.kind is PassageKind.row or x.number for x in passages[place:]):
        return passages
    return [*passages[:place], replace(heads[0], kind=PassageKind.front), *passages[place + 1 :]]


@dataclass(slots=True)
class Assembly:
    """Reads the passages of one document in order."""

    passages: list[Passage]
    language: str
    device: DeviceDraft
    maker: StepMaker
    rows: RowReader
    steps: list[StepDraft] = field(default_factory=list)
    statements: list[Statement] = field(default_factory=list)
    headings: list[Heading] = field(default_factory=list)
    limits: list[DeviceLimit] = field(default_factory=list)
    unread: list[NotUnderstood] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    guessed: dict[Place, Stage] = field(default_factory=dict)
    opening: bool = False
    described: int = 0

    @classmethod
    def of(cls, passages: list[Passage], language: str) -> Assembly:
        """An assembly that knows the device from the whole text before it reads the steps."""
        passages = _untitled(passages, language)
        device = DeviceDraft(passages, language)
        device.learn()
        guessed = guessed_stages(passages, language)
        structured = bool(guessed) or any(
            passage.kind is PassageKind.row
            or (passage.kind is PassageKind.heading and stages_named(passage.text, language))
            for passage in passages
        )
        maker = StepMaker(device, language, Section(describing=structured))
        rows = RowReader(maker, language, Known.of(passages, device.name_words(), language))
        headed = any(x.kind is PassageKind.heading and stages_named(x.text, language) for x in passages)
        return cls(passages, language, device, maker, rows, guessed=guessed, opening=headed)

    def instruction(self, *, file: str, digest: str, pages: int | None) -> Instruction:
        """The instruction that the passages make."""
        for heads, group in itertools.groupby(self.passages, key=_heads_of):
            passages = list(group)
            if heads and on_its_side(passages, self.language):
                self._columns(passages)
            else:
                for passage in passages:
                    self._read(passage)
        told_by_figures(self.steps)
        settle(self.steps)
        share_within_items(self.steps)
        govern(self.steps, self.rules)
        alternatives(self.steps)
        self.device.note_positions(self.steps)
        self.device.parts = with_thrown_away(self.device.parts, self.steps)
        return Instruction(
            device=self.device.finished(self.limits, file=file, digest=digest, pages=pages),
            steps=tuple(step.finished(f"s{count}") for count, step in enumerate(self.steps, start=1)),
            statements=tuple(self.statements),
            headings=tuple(self.headings),
            not_understood=tuple(self.unread),
        )

    def _read(self, passage: Passage) -> None:
        match passage.kind:
            case PassageKind.heading:
                self._heading(passage)
            case PassageKind.row:
                self._row(passage)
            case PassageKind.sentence if passage.forbidden:
                self._forbidden(passage)
            case PassageKind.front | PassageKind.caption:
                self._only_figures(passage)
            case _:
                outer = self.maker.section
                self.maker.section = self._of_row_meant(passage, self._under_label(passage, outer))
                self._sentence(passage)
                self.maker.section = outer

    def _under_label(self, passage: Passage, section: Section) -> Section:
        """'Try: …; …' says by its label to which stage its items belong, and so does 'Try: it must move'."""
        own = PARAMETER.match(passage.text)
        label = passage.lead if is_label(passage.lead) else own["label"] if own else ""
        whole = bool(label) and (not section.stages or names_only_a_stage(label, self.language))
        whole = whole and not (section.stages and says_only_how(label, self.language))
        whole = whole and not (section.stages and self._only_moves(label, passage))
        named = stages_named(label, self.language) if whole else ()
        return replace(section, stages=named) if named and not section.describing else section

    def _only_moves(self, label: str, passage: Passage) -> bool:
        """'Release: the ratchet must spring back' lets go of a part, and releases no load."""
        moved = read_words(label.lower(), self.language).at(0, "action")
        moves = moved is not None and moved.value == Action.set_position
        return moves and read_words(passage.text, self.language).has("feature")

    def _heading(self, passage: Passage) -> None:
        self.rows.leave()
        guessed = self.guessed.get((passage.page, passage.line))
        stages = stages_named(passage.text, self.language) or ((guessed,) if guessed else ())
        self.opening = self.opening and not stages
        if self.maker.section.describing:
            # "The seal is thrown away after every operation" tells of a part and begins no work.
            self.described = len(self.steps)
        self.maker.section = self.maker.section.under(
            passage,
            self.language,
            guessed=guessed,
            begun=bool(self.steps),
            opening=self.opening and len(self.steps) == self.described,
        )
        self.headings.append(
            Heading(
                text=passage.text,
                stage=stages[0] if stages else None,
                number=passage.number,
                origin=origin_of(passage),
            )
        )
        if not self._parameters_of_cycle(passage, stages):
            self._only_figures(passage)

    def _parameters_of_cycle(self, passage: Passage, stages: tuple[Stage, ...]) -> bool:
        """'Sterilization with pre-vacuum, 3 pulses' over a table says what holds for its cycles."""
        reading = read_words(passage.text, self.language)
        found = FigureGrammar(reading, known=self.rows.known).read()
        roles = {figure.role for one in found for figure in one.figures}
        if stages[:1] != (Stage.sterilization,) or FigureRole.pulses not in roles:
            return False
        whole = Clause(Action.sterilize, 0, 0, len(reading.tokens), "a heading with figures")
        self._steps(passage, reading, found, [whole])
        return True

    def _only_figures(self, passage: Passage) -> None:
        """A title or heading says something only if it holds figures."""
        reading = read_words(passage.text, self.language)
        found = FigureGrammar(reading, known=self.rows.known).read()
        if any(one.figures or one.unread for one in found):
            self._state(passage, reading, found, kind=StatementKind.note)

    def _row(self, passage: Passage) -> None:
        """A row; what stands under 'Do not' is forbidden, whatever the other cells ask."""
        allowed = tuple(cell for cell in passage.cells if not forbids_alone(cell.head, self.language))
        for cell in passage.cells:
            if cell not in allowed and cell.text.strip().lower() not in EMPTY:
                self._forbidden(replace(passage, text=cell.text, lead=cell.head))
        if len(allowed) < len(passage.cells):
            passage = replace(passage, cells=allowed, text=" | ".join(cell.text for cell in allowed))
        if any(cell.text.strip() for cell in allowed):
            self._asking_row(passage)

    def _asking_row(self, passage: Passage) -> None:
        if self.maker.section.describing and (self.maker.section.heading is None or self._is_work(passage)):
            self.maker.section = replace(self.maker.section, describing=False)
        steps, read = self.rows.read(passage)
        self.steps.extend(steps)
        if steps:
            for reading, found in read:
                self._keep_unread(passage, reading, found)
            return
        if len(read) == 1:
            reading, found = read[0]
            kind = statement_kind(reading, found, [], self.maker.section) or StatementKind.note
            self._state(passage, reading, found, kind=kind)
            return
        for reading, found in read:
            self._keep_unread(passage, reading, found)
            self.device.note_sizes(passage, reading, found)
        figures = tuple(figure for _, found in read for one in found for figure in one.figures)
        concerns = about(read_words(passage.text, self.language), frozenset(self.device.parts))
        kind, origin = StatementKind.note, origin_of(passage)
        self.statements.append(Statement(kind=kind, figures=figures, about=concerns, origin=origin))

    def _is_work(self, passage: Passage) -> bool:
        """Whether the heads of a table name columns for what is done, whatever its heading says."""
        return tells_work([cell.head for cell in passage.cells if cell.head], self.language)

    def _columns(self, rows: list[Passage]) -> None:
        for step, read in ColumnReader(self.maker, self.language).read(rows):
            self.steps.append(step)
            for reading, found in read:
                self._keep_unread(rows[0], reading, found)

    # Sentences.

    def _forbidden(self, passage: Passage) -> None:
        """An item of a list that is forbidden, or a cell under 'Do not': its words say so with their lead."""
        passage = replace(passage, text=f"{passage.lead.rstrip(' :')}: {passage.text}", forbidden=False)
        reading = read_words(passage.text, self.language)
        found = FigureGrammar(reading, known=self.rows.known).read()
        self._state(passage, reading, found, kind=StatementKind.prohibition)

    def _sentence(self, passage: Passage) -> None:
        section = self._guiding_section(passage)
        reading = read_words(passage.text, self.language)
        found = FigureGrammar(reading, known=self.rows.known).read()
        lead = passage.lead or section.heading or ""
        found = with_distant_bounds(found, reading, lead, self.language)
        clauses = one_cycle(reading, found, listed_phases(reading, clauses_of(reading)), section)
        self._note_rule(passage, reading)
        if self._names_who(passage):
            self._state(passage, reading, found, kind=StatementKind.note)
            return
        rule = veiled(reading, found, clauses, section)
        if rule:
            self._steps(passage, reading, found, rule)
            return
        kind = statement_kind(reading, found, clauses, section)
        asked: list[Clause] = []
        if kind is StatementKind.prohibition:
            asked = before_ban(passage, reading, found, section) or behind_ban(reading, clauses, section)
        if asked:
            self._steps(passage, reading, found, asked)
            return
        if kind is not None:
            self._state(passage, reading, found, kind=kind)
            self._around_statement(passage, reading, kind)
            return
        clauses = clauses or self._told(reading, section) or implied(passage, reading, found, section)
        if clauses:
            self._steps(passage, reading, found, clauses)
        else:
            self._state(passage, reading, found, kind=StatementKind.note)

    def _told(self, reading: Reading, section: Section) -> list[Clause]:
        """'Next one inspects it' in running prose begins another stage than that of the step before."""
        if section.stages == self.maker.section.stages or section.describing:
            return []
        action, pattern = told(reading)
        elsewhere = action is not None and not set(stages_for(action)) & set(section.stages)
        whole = len(reading.tokens)
        return [Clause(action, 0, 0, whole, pattern)] if action and elsewhere and stages_for(action) else []

    def _guiding_section(self, passage: Passage) -> Section:
        """The section of a sentence; without a heading, the step before it leads."""
        section, last = self.maker.section, self.maker.last
        if section.stages or section.describing or last is None or last.item != passage.item:
            return section
        return replace(section, stages=(last.stage,))

    def _names_who(self, passage: Passage) -> bool:
        """'Who: scrub nurse', 'Equipment: soft brush': by whom a thing is done, and with what at hand."""
        own = PARAMETER.match(passage.text)
        label = read_words(own["label"].lower(), self.language) if own else None
        named = label.at(0, "who") if label else None
        return label is not None and named is not None and named.last == len(label.tokens)

    def _of_row_meant(self, passage: Passage, section: Section) -> Section:
        """'Note on 17: 18 min where …' adds to the step with that number."""
        meant = next((x for x in reversed(self.steps) if passage.refers and x.number == passage.refers), None)
        if meant is None:
            return section
        return replace(section, stages=(meant.stage,), describing=False)

    def _steps(self, passage: Passage, reading: Reading, found: list[Found], clauses: list[Clause]) -> None:
        self._keep_unread(passage, reading, found)
        forbidden = reading.all("prohibition")
        listed = sum(1 for clause in clauses if clause.action in _PHASES) >= _LEAST_PHASES
        for place, clause in enumerate(clauses):
            step = self.maker.step(passage, clause, reading)
            if listed:
                own = reading.words(clause.first, clause.last).strip(" ,")
                step.origin = step.origin.model_copy(update={"text": own})
            add_figures(step, reading, [x for x in found if clause.first <= x.first < clause.last])
            if not step.on and place + 1 < len(clauses):
                step.on = self.maker.on(reading, clauses[place + 1].first, clauses[place + 1].last)
            if forbidden and clause is clauses[-1]:
                step.cautions.append(reading.words(forbidden[0].first, len(reading.tokens)))
            self.steps.append(step)

    # Statements.

    def _state(self, passage: Passage, reading: Reading, found: list[Found], *, kind: StatementKind) -> None:
        """A statement; its limiting figures become limits of the device."""
        self._keep_unread(passage, reading, found)
        self.device.note_sizes(passage, reading, found)
        kept: list[Figure] = []
        origin = origin_of(passage)
        # 'Up to row 10 nothing warmer than 40 °C' limits those rows, and not the device.
        scoped = bool(numerals_in(reading, 0, len(reading.tokens)))
        for figure in (figure for one in found for figure in one.figures):
            limits = limits_of(figure, reading) if can_limit(kind, figure) else None
            limits = None if limits in _LIMITS_OF_STEPS and scoped else limits
            if limits:
                self.limits.append(limit_from(figure, limits, origin))
            else:
                kept.append(figure)
        concerns = about(reading, frozenset(self.device.parts))
        self.statements.append(Statement(kind=kind, figures=tuple(kept), about=concerns, origin=origin))

    def _around_statement(self, passage: Passage, reading: Reading, kind: StatementKind) -> None:
        """What a statement still does to the steps: a life is counted, a prohibition cautions."""
        section = self.maker.section
        whole = len(reading.tokens)
        if kind is StatementKind.life:
            action = Action.retire if reading.has("action", Action.retire) else Action.count_use
            step = self.maker.step(passage, Clause(action, 0, 0, whole, "a life"), reading)
            step.stage, step.asked = Stage.maintenance, None
            self.steps.append(step)
        elif section.stages and not section.describing:
            if reading.has("needless"):
                nothing = Clause(Action.other, 0, 0, whole, "nothing needed")
                self.steps.append(self.maker.step(passage, nothing, reading))
            elif kind is StatementKind.prohibition and self.steps and self.steps[-1].item == passage.item:
                self.steps[-1].cautions.append(passage.text)

    def _note_rule(self, passage: Passage, reading: Reading) -> None:
        """'Jaw open for every step' governs what follows."""
        if reading.has("governs"):
            for feature, position in positions_in(reading).items():
                kind = "sliding-sleeve" if feature == "sleeve" else feature
                owner = self.device.part_of(passage, kind)
                within = numerals_in(reading, 0, len(reading.tokens))
                self.rules.append(Rule(feature, position, owner, len(self.steps), within))

    def _keep_unread(self, passage: Passage, reading: Reading, found: list[Found]) -> None:
        """Numbers that found no place, with the words around them; telephone numbers are none of these."""
        for one in found:
            if one.unread and not reading.has("phone"):
                first = max(0, one.first - _WORDS_AROUND)
                words = reading.words(first, min(one.last + _WORDS_AROUND, len(reading.tokens)))
                self.unread.append(NotUnderstood(text=words, origin=origin_of(passage)))
