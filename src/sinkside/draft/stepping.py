"""A step while it is being drafted, and the words of a sentence that fill its fields."""

from __future__ import annotations

from dataclasses import dataclass, field

from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.passage import Passage
from sinkside.draft.staging import WorkAsked
from sinkside.draft.tokens import TokenKind
from sinkside.instruction import Action, AirRemoval, Origin, Stage, Step
from sinkside.quantities import Figure

_MOST_STEPS_REPEATED = 60
_NUMERALS = {TokenKind.number, TokenKind.label}

#: "a 0.5 % solution of an alkaline cleaner": the other word says more.
_GENERIC = "solution"


@dataclass(slots=True)
class StepDraft:
    """A step before it has an id; `pattern` says how it was recognised.

    `asked` is what its stage was told from, while no heading or row says which it is.
    """

    stage: Stage
    action: Action
    origin: Origin
    item: int
    pattern: str
    number: str | None = None
    heading: str | None = None
    on: tuple[str, ...] = ()
    with_: str | None = None
    tools: tuple[str, ...] = ()
    figures: list[Figure] = field(default_factory=list)
    positions: dict[str, str] = field(default_factory=dict)
    air_removal: AirRemoval | None = None
    until: str | None = None
    condition: str | None = None
    repeats: tuple[str, ...] = ()
    cautions: list[str] = field(default_factory=list)
    alternative: str | None = None
    says_alternative: bool = False
    remark: bool = False
    asked: WorkAsked | None = None

    def finished(self, step_id: str) -> Step:
        """The step with its id."""
        return Step(
            id=step_id,
            stage=self.stage,
            action=self.action,
            on=self.on,
            with_=self.with_,
            tools=self.tools,
            figures=tuple(self.figures),
            positions=self.positions,
            air_removal=self.air_removal,
            until=self.until,
            condition=self.condition,
            repeats=self.repeats,
            cautions=tuple(self.cautions),
            alternative=self.alternative,
            number=self.number,
            heading=self.heading,
            origin=self.origin,
        )


def origin_of(passage: Passage) -> Origin:
    """Where a passage stands."""
    text = f"{passage.label} {passage.text}" if passage.label else passage.text
    return Origin(page=passage.page, line=passage.line, line_end=passage.line_end, text=text)


def is_unit_letter(reading: Reading, place: int) -> bool:
    """Whether a letter is (a piece of) a unit: the C of '40 °C' and of '134 C' is never part C."""
    before = reading.tokens[place - 1] if place else None
    unit = reading.at(place, "unit")
    behind_number = before is not None and (before.value is not None or before.norm in {"°", "-", "–"})
    degrees = before is not None and (before.norm == "°" or reading.at(place - 1, "unit") is not None)
    return degrees or (unit is not None and behind_number)


def fill_words(step: StepDraft, reading: Reading, first: int, last: int) -> None:
    """Substance, tools, air removal, until and condition of a stretch of a sentence."""
    substance = step.with_ or _substance(reading, first, last)
    step.with_ = substance
    step.tools = step.tools or tuple(
        dict.fromkeys(
            reading.words(x.first, x.last)
            for x in reading.all("tool", first=first, last=last)
            if not reading.at(x.first, "action") or x.last > x.first + 1
        )
    )
    step.air_removal = step.air_removal or air_removal_in(reading, first, last)
    step.until = step.until or _words_from(reading, "until", first, last)
    step.condition = step.condition or _words_from(reading, "condition", first, last)
    step.says_alternative = step.says_alternative or reading.has("alternative")
    if step.action is Action.repeat:
        step.repeats = numerals_in(reading, first, last) or _behind_repeat(reading, first, last)


def _substance(reading: Reading, first: int, last: int) -> str | None:
    named = reading.all("substance", first=first, last=last)
    substances = [x for x in named if x.first or not reading.at(0, "action")]
    if not substances:
        return None
    chosen = next((x for x in substances if reading.tokens[x.first].norm != _GENERIC), substances[0])
    start = chosen.first
    while start > first and (reading.at(start - 1, "quality") or reading.tokens[start - 1].norm == ","):
        start -= 1
    while reading.tokens[start].norm == ",":
        start += 1
    end = chosen.last
    for behind in substances[1:]:
        if behind.first == end:
            end = behind.last
    return reading.words(start, end)


def air_removal_in(reading: Reading, first: int = 0, last: int | None = None) -> AirRemoval | None:
    """How a stretch of text says the air gets out."""
    named = reading.all("air_removal", first=first, last=last)
    return AirRemoval(named[0].value) if named else None


def _words_from(reading: Reading, category: str, first: int, last: int) -> str | None:
    """The words from a phrase up to the next comma."""
    for lexeme in reading.all(category, first=first, last=last):
        end = lexeme.last
        while end < last and reading.tokens[end].norm not in {",", ";", ".", ")"}:
            end += 1
        return reading.words(lexeme.first, end)
    return None


def numerals_in(reading: Reading, first: int, last: int) -> tuple[str, ...]:
    """The numbers of the steps that a stretch refers to: 'steps 5 to 7 and 9.2' is 5, 6, 7, 9.2."""
    references = [x for x in reading.all("reference", first=first, last=last) if _numeral(reading, x)]
    numerals: list[str] = []
    for reference in references:
        place = reference.last
        linked: Lexeme | None = None
        while place < last and reading.tokens[place].kind in {TokenKind.number, TokenKind.label}:
            written = reading.tokens[place].text
            if linked and reading.at(linked.first, "range"):
                numerals.extend(_between(numerals[-1], written))
            numerals.append(written)
            linked = reading.at(place + 1, "reference_and")
            if linked is None:
                break
            again = reading.at(linked.last, "reference")
            place = again.last if again else linked.last
    return tuple(dict.fromkeys(numerals))


def _behind_repeat(reading: Reading, first: int, last: int) -> tuple[str, ...]:
    """'Back to D4', 'again from 4.2': a number right behind the words that ask for the repeat."""
    for again in reading.all("action", first=first, last=last):
        if again.value != Action.repeat:
            continue
        place = again.last
        if place < last and reading.tokens[place].norm in {"to", "from", "at", "ab", "à", "a", "desde"}:
            place += 1
        counted = place + 1 < last and (reading.at(place + 1, "unit") or reading.at(place + 1, "count"))
        if place < last and reading.tokens[place].kind in _NUMERALS and not counted:
            return (reading.tokens[place].text,)
    return ()


def _numeral(reading: Reading, lexeme: Lexeme) -> bool:
    return lexeme.last < len(reading.tokens) and reading.tokens[lexeme.last].kind in {
        TokenKind.number,
        TokenKind.label,
    }


def _between(low: str, high: str) -> list[str]:
    if low.isdigit() and high.isdigit() and 0 < int(high) - int(low) <= _MOST_STEPS_REPEATED:
        return [str(number) for number in range(int(low) + 1, int(high))]
    return []
