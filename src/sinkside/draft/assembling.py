"""Passages into steps, statements and limits, in order; every figure finds a place or is kept for a human."""

from __future__ import annotations

from dataclasses import dataclass, field

from sinkside.draft.clauses import Clause, clauses_of, looks_imperative, noun_action
from sinkside.draft.device import DeviceDraft
from sinkside.draft.grammar import FigureGrammar
from sinkside.draft.governing import Rule, alternatives, govern, share_within_items
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.passages import Passage, PassageKind
from sinkside.draft.positions import positions_in
from sinkside.draft.roles import with_roles
from sinkside.draft.rows import RowCells, cells_by_use, unit_of_head
from sinkside.draft.stages import DEFAULT_ACTIONS, is_describing, stage_of, stages_named
from sinkside.draft.statements import (
    about,
    has_warning_label,
    is_life,
    limit_from,
    limits_of,
    statement_kind,
)
from sinkside.draft.stepping import StepDraft, air_removal_in, fill_words, origin_of
from sinkside.instruction import (
    Action,
    DeviceLimit,
    Heading,
    Instruction,
    NotUnderstood,
    Stage,
    Statement,
    StatementKind,
)
from sinkside.quantities import Figure, FigureQuantity


#: To place something in one of these is to soak it.
_STATES = {None, Action.set_position}
_SOLUTIONS = {"detergent", "disinfectant", "saline", "alcohol"}


@dataclass(slots=True)
class _Section:
    """The heading that the reading is under."""

    heading: str | None = None
    number: str | None = None
    stages: tuple[Stage, ...] = ()
    describing: bool = False


@dataclass(slots=True)
class Assembly:
    """Reads the passages of one document in order."""

    passages: list[Passage]
    language: str
    section: _Section = field(default_factory=_Section)
    steps: list[StepDraft] = field(default_factory=list)
    statements: list[Statement] = field(default_factory=list)
    headings: list[Heading] = field(default_factory=list)
    limits: list[DeviceLimit] = field(default_factory=list)
    unread: list[NotUnderstood] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    device: DeviceDraft = field(init=False)
    _names: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        self.device = DeviceDraft(self.passages, self.language)

    def instruction(self, *, file: str, digest: str, pages: int | None) -> Instruction:
        """The instruction that the passages make."""
        self.device.learn()
        self._names = self.device.name_words()
        staged = any(
            p.kind is PassageKind.heading and stages_named(p.text, self.language) for p in self.passages
        )
        self.section.describing = staged or any(p.kind is PassageKind.row for p in self.passages)
        for passage in self.passages:
            self._read(passage)
        share_within_items(self.steps)
        govern(self.steps, self.rules)
        alternatives(self.steps)
        self._note_positions()
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
            case PassageKind.title:
                self._title(passage)
            case _:
                self._sentence(passage)

    def _heading(self, passage: Passage) -> None:
        stages = stages_named(passage.text, self.language)
        describing = is_describing(passage.text, self.language) and not stages
        inside = bool(
            passage.number and self.section.number and passage.number.startswith(self.section.number + ".")
        )
        if not (inside and not stages and not describing):
            self.section = _Section(passage.text, passage.number, stages, describing)
        else:
            self.section.heading = passage.text
        self.headings.append(
            Heading(
                text=passage.text,
                stage=stages[0] if stages else None,
                number=passage.number,
                origin=origin_of(passage),
            )
        )
        self._state(
            passage, read_words(passage.text, self.language), kind=StatementKind.note, only_figures=True
        )

    def _title(self, passage: Passage) -> None:
        self._state(
            passage, read_words(passage.text, self.language), kind=StatementKind.note, only_figures=True
        )

    # Sentences.

    def _figures(self, reading: Reading, lead: str = "") -> list[Found]:
        found = FigureGrammar(reading, names=self._names).read()
        return _with_whichever(_with_lead(found, lead, self.language), reading)

    def _sentence(self, passage: Passage) -> None:
        reading = read_words(passage.text, self.language)
        found = self._figures(reading, passage.lead or (self.section.heading or ""))
        clauses = clauses_of(reading)
        self._note_rule(passage, reading)
        clauses = (
            _one_cycle(reading, found, clauses) if Stage.sterilization in self.section.stages else clauses
        )
        kind = self._statement_kind(reading, found, clauses)
        if kind is not None:
            self._state(passage, reading, kind=kind, found=found)
            self._around_statement(passage, reading, kind)
            return
        clauses = clauses or self._implied(passage, reading, found)
        if not clauses:
            self._state(passage, reading, kind=StatementKind.note, found=found)
            return
        self._keep_unread(passage, reading, found)
        self._steps(passage, reading, found, clauses)

    def _statement_kind(
        self, reading: Reading, found: list[Found], clauses: list[Clause]
    ) -> StatementKind | None:
        heading = read_words((self.section.heading or "").lower(), self.language)
        lived = any(figure.role == "life" for one in found for figure in one.figures)
        if lived and heading.has("life") and not clauses:
            return StatementKind.life
        return statement_kind(reading, found, clauses, describing=self.section.describing)

    def _implied(self, passage: Passage, reading: Reading, found: list[Found]) -> list[Clause]:
        """What a sentence without a verb that asks still means under its heading."""
        figures = [figure for one in found for figure in one.figures]
        stages = self.section.stages
        whole = (0, 0, len(reading.tokens))
        action = noun_action(reading)
        if figures and (stages or (action and _is_process(figures))):
            lethal = any(figure.quantity is FigureQuantity.lethality for figure in figures)
            action = Action.disinfect if lethal and action in {None, Action.wash, Action.rinse} else action
            action = action or noun_action(read_words((self.section.heading or "").lower(), self.language))
            chosen = action or DEFAULT_ACTIONS.get(stages[0] if stages else Stage.cleaning, Action.other)
            return [Clause(chosen, *whole, "figures under a heading")]
        if not stages:
            return []
        if positions_in(reading):
            return [Clause(Action.set_position, *whole, "a state")]
        if reading.has("needless"):
            return [Clause(Action.other, *whole, "nothing needed")]
        if reading.has("tool") or reading.has("substance"):
            chosen = DEFAULT_ACTIONS.get(stages[0], Action.other) if action in _STATES else action
            return [Clause(chosen or Action.other, *whole, "a thing to use")]
        if reading.has("modal", "must") and Stage.inspection in stages:
            return [Clause(Action.inspect, *whole, "a criterion")]
        if passage.number or passage.lead or reading.has("modal", "must") or looks_imperative(reading):
            return [Clause(action or Action.other, *whole, "an item under a heading")]
        return []

    def _steps(self, passage: Passage, reading: Reading, found: list[Found], clauses: list[Clause]) -> None:
        forbidden = reading.all("prohibition")
        for place, clause in enumerate(clauses):
            step = self._step(passage, clause.action, clause.pattern, reading, clause.first, clause.last)
            inside = [one for one in found if clause.first <= one.first < clause.last]
            step.figures.extend(
                figure for one in inside for figure in with_roles(one, reading, step.action, step.stage)
            )
            if not step.on and place + 1 < len(clauses):
                step.on = self._on(reading, clauses[place + 1].first, clauses[place + 1].last)
            if forbidden and clause is clauses[-1]:
                step.cautions.append(reading.words(forbidden[0].first, len(reading.tokens)))
            self.steps.append(step)

    def _step(  # noqa: PLR0913
        self, passage: Passage, action: Action, pattern: str, reading: Reading, first: int, last: int
    ) -> StepDraft:
        before = self.steps[-1].stage if self.steps else None
        step = StepDraft(
            stage=stage_of(action, self.section.stages, before),
            action=action,
            origin=origin_of(passage),
            item=passage.item,
            pattern=pattern,
            number=passage.number,
            heading=self.section.heading,
            on=self._on(reading, first, last),
            positions=positions_in(reading, first, last),
            remark=pattern == "a state",
        )
        fill_words(step, reading, first, last)
        if step.action is Action.repeat and not step.repeats and self.steps:
            before_number = self.steps[-1].number
            step.repeats = (before_number,) if before_number else ()
        if step.stage is Stage.sterilization and step.air_removal is None:
            step.air_removal = air_removal_in(
                read_words(f"{passage.lead} {self.section.heading}", self.language)
            )
        wet = {x.value for x in reading.all("substance", first=first, last=last)} & _SOLUTIONS
        if action is Action.load and wet:
            step.action = Action.soak
        if action is Action.dry and self.section.stages[:1] == (Stage.storage,):
            step.action, step.stage = Action.store, Stage.storage
        if action is Action.actuate and step.positions and not any(t.value for t in reading.tokens):
            step.action = Action.set_position
        if action is Action.brush and "lumen-1" in step.on:
            self.device.brushed()
        return step

    def _on(self, reading: Reading, first: int, last: int) -> tuple[str, ...]:
        parts = [t.text for t in reading.tokens[first:last] if t.text in self.device.parts]
        named = [
            part.id
            for part in self.device.parts.values()
            if part.id not in parts
            and len(part.name) > 1
            and part.name.lower() in reading.words(first, last).lower()
        ]
        features = [f"{x.value}-1" for x in reading.all("feature", first=first, last=last)]
        return tuple(dict.fromkeys([*parts, *named, *(x for x in features if x in self.device.features)]))

    # Statements.

    def _state(
        self,
        passage: Passage,
        reading: Reading,
        *,
        kind: StatementKind,
        found: list[Found] | None = None,
        only_figures: bool = False,
    ) -> None:
        found = self._figures(reading) if found is None else found
        self._keep_unread(passage, reading, found)
        self.device.note_sizes(passage, reading, found)
        kept: list[Figure] = []
        origin = origin_of(passage)
        for figure in (figure for one in found for figure in one.figures):
            limits = limits_of(figure, reading) if self._can_limit(kind, figure) else None
            if limits:
                self.limits.append(limit_from(figure, limits, origin))
            else:
                kept.append(figure)
        if only_figures and not kept:
            return
        concerns = about(reading, frozenset(self.device.parts))
        self.statements.append(Statement(kind=kind, figures=tuple(kept), about=concerns, origin=origin))

    @staticmethod
    def _can_limit(kind: StatementKind, figure: Figure) -> bool:
        if kind in {StatementKind.life, StatementKind.limit}:
            return True
        return kind in {StatementKind.prohibition, StatementKind.warning} and (
            figure.max is not None or figure.quantity is FigureQuantity.ph
        )

    def _around_statement(self, passage: Passage, reading: Reading, kind: StatementKind) -> None:
        """What a statement still does to the steps: a life is counted, a prohibition warns the step before it."""
        whole = (0, len(reading.tokens))
        if kind is StatementKind.life:
            step = self._step(passage, Action.count_use, "a life", reading, *whole)
            step.stage = Stage.maintenance
            self.steps.append(step)
        elif self.section.stages and not self.section.describing:
            if reading.has("needless"):
                self.steps.append(self._step(passage, Action.other, "nothing needed", reading, *whole))
            elif kind is StatementKind.prohibition and self.steps and self.steps[-1].item == passage.item:
                self.steps[-1].cautions.append(passage.text)
        elif has_warning_label(reading) or is_life(reading, []):
            return

    def _note_rule(self, passage: Passage, reading: Reading) -> None:
        """'Jaw open for every step' governs what follows."""
        if not reading.has("governs"):
            return
        for feature, position in positions_in(reading).items():
            kind = "sliding-sleeve" if feature == "sleeve" else feature
            owner = self.device.part_of(passage, kind)
            self.rules.append(Rule(feature, position, owner, len(self.steps)))

    def _keep_unread(self, passage: Passage, reading: Reading, found: list[Found]) -> None:
        for one in found:
            if one.unread and not reading.has("phone"):
                words = reading.words(max(0, one.first - 3), min(one.last + 2, len(reading.tokens)))
                self.unread.append(NotUnderstood(text=words, origin=origin_of(passage)))

    # Rows.

    def _row(self, passage: Passage) -> None:
        cells = cells_by_use(passage, self.language)
        saved = self.section
        stages = stages_named(cells.text("stage"), self.language)
        if stages:
            self.section = _Section(cells.text("stage"), None, stages, describing=False)
        self._row_steps(passage, cells)
        self.section = saved

    def _row_steps(self, passage: Passage, cells: RowCells) -> None:
        main = self._row_main(passage, cells)
        group = [main] if main else []
        for cell in cells.cells("action", "medium", "value", "remark", "stage"):
            reading = read_words(cell.text, self.language)
            unit = unit_of_head(cell.head, self.language)
            found = FigureGrammar(reading, default_unit=unit, names=self._names).read()
            self._keep_unread(passage, reading, found)
            if main is None:
                continue
            self._cell(passage, main, group, reading, found)
        self.steps.extend(group)
        if main is None:
            self._state(passage, read_words(passage.text, self.language), kind=StatementKind.note)

    def _row_main(self, passage: Passage, cells: RowCells) -> StepDraft | None:
        """The step of a row: from its action, else from its stage."""
        for use in ("action", "stage", "value"):
            for cell in cells.cells(use):
                reading = read_words(cell.text, self.language)
                clauses = clauses_of(reading)
                action = clauses[0].action if clauses else noun_action(reading)
                if action is not None:
                    return self._row_step(passage, cells, action)
        if not self.section.stages:
            return None
        return self._row_step(passage, cells, DEFAULT_ACTIONS.get(self.section.stages[0], Action.other))

    def _row_step(self, passage: Passage, cells: RowCells, action: Action) -> StepDraft:
        words = read_words(" ; ".join(cell.text for cell in cells.cells("part", "action")), self.language)
        step = self._step(passage, action, "a table row", words, 0, len(words.tokens))
        medium = cells.text("medium")
        reading = read_words(medium, self.language)
        first_figure = next((one.first for one in FigureGrammar(reading).read() if one.figures), None)
        step.with_ = (medium if first_figure is None else reading.words(0, first_figure)).strip(" ,(") or None
        step.air_removal = air_removal_in(read_words(passage.text, self.language))
        return step

    def _cell(
        self, passage: Passage, main: StepDraft, group: list[StepDraft], reading: Reading, found: list[Found]
    ) -> None:
        """What one cell adds to the step of its row, or to further steps of the row."""
        clauses = clauses_of(reading)
        others = [clause for clause in clauses if clause.action is not main.action]
        step = main
        if others and not reading.has("prohibition"):
            for clause in others:
                step = self._step(
                    passage, clause.action, "a cell of a row", reading, clause.first, clause.last
                )
                step.stage, step.on = main.stage, step.on or main.on
                group.append(step)
                self._cell_figures(step, reading, [o for o in found if clause.first <= o.first < clause.last])
            rest = [o for o in found if not any(c.first <= o.first < c.last for c in others)]
            self._cell_figures(main, reading, rest)
            return
        self._cell_figures(main, reading, found)
        main.positions = {**positions_in(reading), **main.positions}
        if reading.has("prohibition"):
            main.cautions.append(reading.text)
        fill_words(main, reading, 0, len(reading.tokens))

    def _cell_figures(self, step: StepDraft, reading: Reading, found: list[Found]) -> None:
        for one in found:
            step.figures.extend(with_roles(one, reading, step.action, step.stage))

    def _note_positions(self) -> None:
        wanted: dict[str, dict[str, None]] = {}
        for step in self.steps:
            for feature, position in step.positions.items():
                wanted.setdefault(feature, {})[position] = None
        for feature, positions in wanted.items():
            self.device.takes_positions(feature, tuple(positions))


def _one_cycle(reading: Reading, found: list[Found], clauses: list[Clause]) -> list[Clause]:
    """'134 °C, 3 min, dry 40 min' is one sterilization cycle; its drying is a figure, no step."""
    hot = any(f.quantity is FigureQuantity.temperature for one in found for f in one.figures)
    if not hot or any(clause.action not in {Action.sterilize, Action.dry} for clause in clauses):
        return clauses
    return [Clause(Action.sterilize, 0, 0, len(reading.tokens), "a sterilization cycle")]


def _is_process(figures: list[Figure]) -> bool:
    process = {
        FigureQuantity.temperature,
        FigureQuantity.time,
        FigureQuantity.volume,
        FigureQuantity.pressure,
    }
    return any(figure.quantity in process for figure in figures)


def _with_lead(found: list[Found], lead: str, language: str) -> list[Found]:
    """'Minimum cycle: …' makes the times behind it minimal."""
    bounds = read_words(lead, language).all("bound_lead") if lead else []
    if not bounds:
        return found
    return [_bounded(one, bounds[0].value, times_only=True) for one in found]


def _with_whichever(found: list[Found], reading: Reading) -> list[Found]:
    """'100 mL, or until clear, whichever is more' is at least 100 mL."""
    words = reading.all("bound_whichever")
    if not words:
        return found
    return [
        _bounded(one, words[0].value, times_only=False) if one.last <= words[0].first else one
        for one in found
    ]


def _bounded(found: Found, end: str, *, times_only: bool) -> Found:
    figures = []
    for figure in found.figures:
        fits = figure.value is not None and (not times_only or figure.quantity is FigureQuantity.time)
        figures.append(figure.model_copy(update={"value": None, end: figure.value}) if fits else figure)
    return Found(
        f"{found.pattern}, {end} by other words", found.first, found.last, tuple(figures), found.unread
    )
