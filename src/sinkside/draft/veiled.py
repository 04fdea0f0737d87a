"""Things to do that are worded as rules: times until cleaning, weights of sets, parts thrown away."""

from __future__ import annotations

from sinkside.draft.clauses import Clause, asides
from sinkside.draft.lexicon import Reading
from sinkside.draft.notfigures import Found
from sinkside.draft.sections import Section
from sinkside.draft.stages import DEFAULT_ACTIONS
from sinkside.instruction import Action, Stage
from sinkside.quantities import Figure, FigureQuantity

#: What may be asked beside a time until cleaning without making it the time of something else.
_AROUND_A_WAIT = {Action.wash, Action.start_cleaning, Action.transport, Action.disinfect, Action.repeat}
THROWN_AWAY = "a part that is thrown away"
_LEAST, _MOST = "a least that is kept", "a most that is kept"
_WAITING = {Action.set_position, Action.other, Action.load, Action.store, Action.actuate, Action.keep_moist}


def veiled(reading: Reading, found: list[Found], clauses: list[Clause], section: Section) -> list[Clause]:
    """The step that a rule or a description asks for; empty if the sentence is none of these.

    Args:
        reading: the sentence.
        found: its figures.
        clauses: what it asks for outright.
        section: the heading that it is under.
    """
    if reading.has("needless") or reading.at(0, "warning"):
        return []
    usual = _usual(section)
    readings: tuple[tuple[bool, Action, str], ...] = (
        (
            _is_time_to_cleaning(reading, found, clauses, section),
            Action.start_cleaning,
            "a time until cleaning",
        ),
        (_is_weight_of_set(found, clauses, section), Action.weigh, "a weight of the set"),
        (_is_least(reading, found, clauses, section), usual, _LEAST),
        (_is_longest(reading, found, clauses, section), usual, _MOST),
        (_is_criterion(reading, section), Action.inspect, "a criterion"),
        (_sounds(found, clauses, section), Action.sonicate, "a bath that sounds"),
        (_ends_a_life(clauses, section), Action.retire, "an end of life"),
        (_goes_to_waste(reading, clauses, section), Action.discard_part, THROWN_AWAY),
    )
    asked = next(((action, pattern) for fits, action, pattern in readings if fits), None)
    if asked is None:
        return []
    action, pattern = asked
    return [Clause(action, 0, 0, len(reading.tokens), pattern, outright=pattern not in {_LEAST, _MOST})]


def _is_criterion(reading: Reading, section: Section) -> bool:
    """'The hose must not leak', 'A wire may not slip': under inspection it is to be looked for."""
    if Stage.inspection not in section.stages or section.describing:
        return False
    return any(ban.first > 0 and reading.at(ban.last, "behaves") for ban in reading.all("prohibition"))


def _sounds(found: list[Found], clauses: list[Clause], section: Section) -> bool:
    """'The tank works at 45 kHz for five minutes': a frequency and a time are an ultrasonic bath."""
    quantities = {figure.quantity for one in found for figure in one.figures}
    told = {FigureQuantity.frequency, FigureQuantity.time} <= quantities
    return told and not clauses and not section.describing


def _ends_a_life(clauses: list[Clause], section: Section) -> bool:
    """'A part is scrapped when its count is full' ends a life wherever it stands."""
    return section.describing and any(clause.action is Action.retire for clause in clauses)


def _is_time_to_cleaning(
    reading: Reading, found: list[Found], clauses: list[Clause], section: Section
) -> bool:
    """'The set is to reach the cleaning room within 90 minutes', 'It may wait overnight, up to 12 hours'."""
    aside = asides(reading)
    times = [one for one in found for x in one.figures if _is_longest_time(x) and one.first not in aside]
    if section.describing or not times:
        return False
    away = bool({Stage.point_of_use, Stage.transport} & set(section.stages))
    waits = reading.has("waits")
    arrives = reading.has("arrives")
    others = _AROUND_A_WAIT | (_WAITING if waits or reading.has("prohibition") else set())
    # 'Must be in cleaning' has the words of 'must be clean'.
    others |= {Action.inspect} if arrives else set()
    if any(clause.action not in others for clause in clauses):
        return False
    goal = reading.has("cleaning_goal")
    since = reading.has("since_use")
    on_its_way = Stage.transport in section.stages
    return (goal and (since or away or arrives or waits)) or (waits and (since or on_its_way))


def _is_longest_time(figure: Figure) -> bool:
    return figure.quantity is FigureQuantity.time and figure.max is not None


def _is_weight_of_set(found: list[Found], clauses: list[Clause], section: Section) -> bool:
    """'A container must not weigh more than 10 kg' under packaging asks to weigh it."""
    heavy = any(x.quantity is FigureQuantity.mass and x.max is not None for one in found for x in one.figures)
    packing = not section.describing and Stage.packaging in section.stages
    return heavy and packing and all(clause.action is Action.weigh for clause in clauses)


def _is_least(reading: Reading, found: list[Found], clauses: list[Clause], section: Section) -> bool:
    """'The time in the bath must not be shortened below ten minutes' forbids nothing but to do less."""
    figures = [figure for one in found for figure in one.figures]
    least = bool(figures) and all(figure.min is not None and figure.max is None for figure in figures)
    forbids = reading.has("prohibition") and not clauses
    return forbids and least and bool(section.stages) and not section.describing


def _is_longest(reading: Reading, found: list[Found], clauses: list[Clause], section: Section) -> bool:
    """'The exposure must not be longer than 18 minutes' under its heading limits what is done there."""
    figures = [figure for one in found for figure in one.figures]
    longest = bool(figures) and all(_is_longest_time(figure) and figure.min is None for figure in figures)
    forbids = reading.has("prohibition") and not clauses and reading.has("bound_before")
    return forbids and longest and bool(section.stages) and not section.describing


def _usual(section: Section) -> Action:
    return DEFAULT_ACTIONS.get(section.stages[0], Action.other) if section.stages else Action.other


def _goes_to_waste(reading: Reading, clauses: list[Clause], section: Section) -> bool:
    """'… are for one patient: throw them away': asked for wherever it is told."""
    discarded = any(clause.action is Action.discard_part for clause in clauses)
    if discarded:
        return section.describing
    return not clauses and not reading.has("prohibition") and reading.has("waste")
