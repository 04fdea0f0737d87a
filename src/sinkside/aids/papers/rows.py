"""Operations as rows of a paper: letter, pictogram, sentence, figures, cautions, the device drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.pictograms import caution_kind, pictogram_svg
from sinkside.aids.prohibitions import plain_sentence
from sinkside.language.numbers import NO_BREAK
from sinkside.plain import PlainFigure, PlainPhase, PlainStep, plain_figures
from sinkside.plain.left_unsaid import left_unsaid
from sinkside.plain.makers_words import quoted_text
from sinkside.plain.operations import Row, StationGroup, by_station, rows_of
from sinkside.plain.voice import folded
from sinkside.plain.wording import program_of
from sinkside.route import ChosenFigure, Operation

_ISOLATES = "\u2068\u2069"


@dataclass(frozen=True)
class RowMaker:
    """Makes rows out of operations.

    Attributes:
        speaker: says them in the reader's language, and knows the text.
        drawings: which states of the device were drawn, so that none is drawn twice.
        quotes: whether the maker's sentence stands below where it says more; a wall has no room for it.
    """

    speaker: Speaker
    drawings: Drawings | None = field(default=None, compare=False)
    quotes: bool = True

    def groups(self, operations: Iterable[Operation]) -> list[Values]:
        """Operations by station, each with its rows."""
        return [self._group(group) for group in by_station(operations)]

    def _group(self, group: StationGroup) -> Values:
        return {"station": self.speaker.station(group.station), "rows": self.rows(group.operations)}

    def rows(self, operations: Sequence[Operation]) -> list[Values]:
        """Operations that follow each other, as rows; phases of one machine program name it once."""
        shown = []
        running = ""
        for row in rows_of(operations):
            program = program_of(row.operation)
            name = program.id + (program.program or "") if program else ""
            shown.append(self._row(row, is_next_phase=bool(name) and name == running))
            running = name
        return shown

    def _row(self, row: Row, *, is_next_phase: bool) -> Values:
        operation = row.operation
        step = self.speaker.step(operation)
        program = program_of(operation)
        named = f"{program.name}, “{program.program}”" if program and program.program else ""
        details = details_of(step)
        if is_next_phase:
            details = [detail for detail in details if detail.strip(_ISOLATES) != named]
        attached = [self._attached(one) for one in row.attached]
        own = {"headline": step.headline, "beside": beside(step), "details": details}
        makers = self._makers_words(row, [own, *attached], step.cautions) if self.quotes else []
        details += self._marks(step, [*details, *makers])
        return {
            "letter": operation.letter,
            "pictogram": pictogram_svg(operation.action.value),
            "headline": step.headline,
            "beside": self._beside(step),
            "details": details,
            "makers": makers,
            "cautions": [shown_caution(caution) for caution in step.cautions],
            "figures": [] if step.phases else self.figures(step.figures),
            "phases": [self._phase(phase) for phase in step.phases],
            "attached": attached,
            "drawing": self.drawings.of(operation) if self.drawings else None,
        }

    def _makers_words(self, row: Row, told: Sequence[Values], cautions: Iterable[str]) -> list[str]:
        """The maker's own sentence, where words of it have no place in our sentence: by hand, with a lid."""
        said = [left_unsaid(one, self.speaker.instruction) for one in (row.operation, *row.attached)]
        words = [text for one in told for text in (one["headline"], one["beside"], *one["details"])]
        shown = folded(" ".join([*words, *cautions]))
        return [
            quoted_text(sentence, self.speaker.voice)
            for sentence in dict.fromkeys(plain_sentence(one) for one in said if one)
            if folded(sentence) not in shown
        ]

    def _phase(self, phase: PlainPhase) -> Values:
        """A phase with its figures; what a figure is of stands with what it must lie in, below the name."""
        figures = self.figures(phase.figures)
        for figure in figures:
            if label := figure["label"]:
                figure["must"] = ", ".join(filter(None, (figure["must"], label)))
                figure["range"] = ", ".join(filter(None, (figure["range"], label)))
                figure["label"] = ""
        return {"name": phase.name, "figures": figures}

    def _attached(self, operation: Operation) -> Values:
        step = self.speaker.step(operation)
        details = details_of(step)
        return {
            "letter": operation.letter,
            "headline": step.headline,
            "beside": self._beside(step),
            "details": [*details, *self._marks(step, details)],
            "cautions": list(step.cautions),
        }

    def _beside(self, step: PlainStep) -> str:
        """The headline in the reference language, its full stop and quotation marks at its own ends."""
        return self.speaker.voice.isolated(beside(step))

    def _marks(self, step: PlainStep, details: Iterable[str]) -> list[str]:
        """Which of our letters the maker's marks in a row's words are, on a line of its own."""
        told = self.speaker.marks((step.headline, beside(step), *details, *step.cautions))
        return [told] if told else []

    def figures(self, figures: Iterable[PlainFigure]) -> list[Values]:
        """Figures as the eye finds them: number large, unit small, what it is of, what it must lie in."""
        return [self._figure(figure) for figure in figures]

    def _figure(self, figure: PlainFigure) -> Values:
        number, unit = split(figure, is_rtl=self.speaker.is_rtl)
        if self.speaker.is_rtl:
            # "5 minutes at least": the word stays with its figure wherever that is set.
            unit = f"{self.speaker.voice.isolated(unit)} {figure.bound_word}".strip()
            number = f"\u2066{number}\u2069"
        must = self._must(figure)
        makers = self.speaker.say("maker’s own: {figure}", figure=figure.makers) if figure.makers else ""
        return {
            "number": number,
            "unit": unit,
            "label": ", ".join(filter(None, (figure.label, makers))),
            "must": self.speaker.say("must be {range}", range=must) if must else "",
            "range": must,
        }

    def _must(self, figure: PlainFigure) -> str:
        """What a figure of the department's must lie in, with its bound."""
        if not figure.must:
            return ""
        required = [ChosenFigure(required=one) for one in figure.approved]
        return self.speaker.figure(plain_figures(required, self.speaker.voice)[0])


def split(figure: PlainFigure, *, is_rtl: bool = False) -> tuple[str, str]:
    """A figure's number with the sign of its bound, and its unit apart, so that each gets its own size.

    From right to left the sign stays away: mirrored, "at least" would look like "at most". Its word stands
    beside.
    """
    short = figure.short.translate(dict.fromkeys(map(ord, _ISOLATES)))
    if is_rtl and figure.sign:
        short = short.replace(f"{figure.sign}{NO_BREAK}", "")
    if figure.unit and short.endswith(figure.unit):
        return short.removesuffix(figure.unit).rstrip(f" {NO_BREAK}"), figure.unit
    return short, ""


def details_of(step: PlainStep) -> list[str]:
    """What belongs to a step below its headline, one thing a line."""
    held = [position.words for position in step.positions if not position.told]
    told = [*step.lines, *held, step.until, step.quoted]
    return list(dict.fromkeys(line for line in told if line))


def beside(step: PlainStep) -> str:
    """The headline in the reference language, where that says something else."""
    other = step.reference.headline if step.reference else ""
    return "" if other == step.headline else other


def said_row(sentence: str) -> Values:
    """A sentence that no operation says, as a row of its own."""
    return {"letter": "!", "headline": sentence, **_NOTHING}


def shown_caution(sentence: str) -> Values:
    """A caution with the pictogram of its kind, if it is of one."""
    kind = caution_kind(sentence)
    return {"pictogram": pictogram_svg(kind) if kind else "", "text": sentence}


_NOTHING: Mapping[str, object] = {
    "pictogram": "", "beside": "", "details": [], "makers": [], "cautions": [], "figures": [], "phases": [],
    "attached": [], "drawing": None,
}  # fmt: skip
