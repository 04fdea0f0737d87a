"""Sentences that ask for no step: prohibitions, limits, warnings, lives, contacts, notes."""

from __future__ import annotations

from sinkside.draft.clauses import Clause, asides
from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.draft.sections import Section
from sinkside.draft.stepping import is_unit_letter
from sinkside.instruction import Action, DeviceLimit, Origin, StatementKind
from sinkside.quantities import Bound, Figure, FigureQuantity

_PROCESSING = {
    *(Action.wash, Action.disinfect, Action.sterilize, Action.dry, Action.sonicate, Action.soak),
    *(Action.rinse, Action.brush, Action.flush, Action.blow, Action.wipe, Action.other),
}
_WHOLE_PROCESS = {Action.wash, Action.disinfect, Action.sterilize, Action.dry}
#: "At most 75 times" under "How many times can it be used?" is a life too.
_LIVES = {"life", "times", "repeats"}
_LONGEST_SUBJECT = 3
_LEAST_OF_A_LIFE = 5
_KINDS_OF_STEAM = {"immediate-use", "gravity"}
_LIFE_ACTIONS = {Action.retire, Action.send_for_repair, Action.count_use}

#: What a bounded figure limits, by what it measures; words decide between several.
_LIMITS = {
    FigureQuantity.ph: "ph",
    FigureQuantity.pressure: "pressure",
    FigureQuantity.mass: "mass",
    FigureQuantity.percent: "concentration",
    FigureQuantity.temperature: "temperature",
    FigureQuantity.time: "time-to-cleaning",
    FigureQuantity.concentration: "concentration",
}
_ONLY_WITH_MAXIMUM = set(_LIMITS) - {FigureQuantity.ph, FigureQuantity.concentration}


def statement_kind(
    reading: Reading, found: list[Found], clauses: list[Clause], section: Section
) -> StatementKind | None:
    """What a sentence is if it asks for no step; none if it may be one."""
    figures = [figure for one in found for figure in one.figures]
    kinds: tuple[tuple[bool, StatementKind], ...] = (
        (_says_life(reading, figures, clauses, section), StatementKind.life),
        (forbids(reading, clauses) and _only_limits(reading, figures), StatementKind.limit),
        (forbids(reading, clauses), StatementKind.prohibition),
        (reading.has("contact") and not clauses and not figures, StatementKind.contact),
        (has_warning_label(reading) and _names_acidity(figures), StatementKind.limit),
        (has_warning_label(reading), StatementKind.warning),
        (_is_general_rule(reading, clauses), StatementKind.note),
        (_only_rules(clauses, section) and _denies(reading), StatementKind.prohibition),
        (_only_rules(clauses, section) and bool(figures), StatementKind.limit),
        (_only_rules(clauses, section), StatementKind.note),
        (_tells_of_harm(reading, clauses), StatementKind.warning),
        (section.describing and any(limits_of(x, reading) for x in figures), StatementKind.limit),
        (section.describing, StatementKind.note),
    )
    return next((kind for fits, kind in kinds if fits), None)


def _says_life(reading: Reading, figures: list[Figure], clauses: list[Clause], section: Section) -> bool:
    heading = read_words((section.heading or "").lower(), reading.grammar.language)
    if not clauses and heading.has("life") and any(figure.role in _LIVES for figure in figures):
        return True
    if reading.has("action", Action.retire) and reading.has("life") and not clauses:
        return True
    if section.describing and not forbids(reading, clauses) and any(_counts_uses(x) for x in figures):
        return True
    return is_life(reading, figures) and not any(clause.action in _LIFE_ACTIONS for clause in clauses)


def _counts_uses(figure: Figure) -> bool:
    """'Drills: 20 uses each': so many that they can only be those of a life."""
    return figure.role == "life" and figure.ends()[1] >= _LEAST_OF_A_LIFE


def _is_general_rule(reading: Reading, clauses: list[Clause]) -> bool:
    """'It must be cleaned and sterilized before each use' asks for the whole process, for no step."""
    return reading.has("general_rule") and bool(clauses) and all(x.action in _WHOLE_PROCESS for x in clauses)


def _only_rules(clauses: list[Clause], section: Section) -> bool:
    """'Ultrasonic treatment of the body is not permitted' under 'Limitations' asks for no bath there."""
    return section.limiting and bool(clauses) and all(clause.action in _PROCESSING for clause in clauses)


def _denies(reading: Reading) -> bool:
    return reading.has("prohibition") or reading.has("negation")


def _tells_of_harm(reading: Reading, clauses: list[Clause]) -> bool:
    """'Ultrasound harms the contacts': the word at its start does not ask for it."""
    harm = reading.all("harm")
    subject = len(clauses) == 1 and clauses[0].verb == 0 and bool(harm) and harm[0].first <= _LONGEST_SUBJECT
    return bool(harm) and (not clauses or subject)


def _only_limits(reading: Reading, figures: list[Figure]) -> bool:
    """'Do not exceed 135 °C' forbids nothing but to leave a limit."""
    bounded = bool(figures) and all(figure.bound is not Bound.value for figure in figures)
    worded = reading.has("bound_before") or reading.has("bound_after")
    return bounded and worded and not reading.has("action")


def _names_acidity(figures: list[Figure]) -> bool:
    return any(figure.quantity is FigureQuantity.ph for figure in figures)


def is_life(reading: Reading, figures: list[Figure]) -> bool:
    """Whether a sentence says how often the device may be used, or that this is not limited."""
    softly = reading.has("soft_life") and any(figure.role in {"life", "repeats"} for figure in figures)
    softly = softly or reading.has("life", "unlimited") or _ends_by_wear(reading)
    if not reading.has("life") or softly:
        return softly
    return any(figure.role == "life" for figure in figures)


def _ends_by_wear(reading: Reading) -> bool:
    """'The service life ends with wear': a life without a number."""
    return reading.has("life", "worn") and reading.has("life", "life")


def forbids(reading: Reading, clauses: list[Clause]) -> bool:
    """Whether the sentence forbids something and asks for nothing before that."""
    answers = len(reading.tokens) > 1 and reading.tokens[1].norm == ","
    denied = reading.at(0, "negative_start") is not None and not answers
    if denied and reading.has("modal") and not reading.has("needless"):
        return True
    aside = asides(reading)
    forbidden = [x for x in reading.all("prohibition") if x.first not in aside]
    return bool(forbidden) and not any(clause.verb < forbidden[0].first for clause in clauses)


def has_warning_label(reading: Reading) -> bool:
    """'WARNING: …'."""
    label = reading.at(0, "warning")
    if label is None or label.last >= len(reading.tokens):
        return False
    behind = reading.tokens[label.last]
    set_apart = reading.words(0, label.last).isupper() and behind.text[:1].isupper()
    return behind.norm in {":", "!", "-"} or set_apart


def about(reading: Reading, part_ids: frozenset[str]) -> tuple[str, ...]:
    """What a statement concerns: subjects of the lexicon and parts by their letter."""
    subjects = [lexeme.value for lexeme in reading.all("about")]
    if set(subjects) & _KINDS_OF_STEAM:
        # "Not for immediate-use steam sterilization" is about that cycle, and no other steam.
        subjects = [subject for subject in subjects if subject != "steam"]
    features = [lexeme.value for lexeme in reading.all("feature")]
    letters = [
        token.text
        for place, token in enumerate(reading.tokens)
        if token.text in part_ids and not is_unit_letter(reading, place)
    ]
    return tuple(dict.fromkeys([*letters, *subjects, *features]))


def limits_of(figure: Figure, reading: Reading) -> str | None:
    """What a figure limits, if it is one that the device must never leave."""
    limited = _LIMITS.get(figure.quantity)
    match figure.quantity:
        case FigureQuantity.counted:
            return "cycles" if figure.role in _LIVES or reading.has("soft_life") else None
        case FigureQuantity.concentration if reading.has("about", "chloride"):
            return "chloride"
        case FigureQuantity.temperature if figure.max is not None and reading.has("substance", "water"):
            return "water-temperature"
        case FigureQuantity.time if not reading.has("limit_of", "time-to-cleaning"):
            return None
    if figure.strict and figure.min is not None:
        return None
    unbounded = figure.quantity in _ONLY_WITH_MAXIMUM and figure.max is None
    return None if unbounded else limited


def can_limit(kind: StatementKind, figure: Figure) -> bool:
    """Whether the figures of a kind of statement can be limits of the device."""
    if kind in {StatementKind.life, StatementKind.limit}:
        return True
    bounded = figure.max is not None or figure.quantity is FigureQuantity.ph
    return bounded and kind in {StatementKind.prohibition, StatementKind.warning}


def limit_from(figure: Figure, limits: str, origin: Origin) -> DeviceLimit:
    """A figure as a limit of the device, with the place where it was read."""
    return DeviceLimit.model_validate({**figure.model_dump(), "limits": limits, "origin": origin})
