"""The part that a figure plays in its step: exposure, drying, strokes, magnification and the like."""

from __future__ import annotations

from sinkside.draft.lexicon import Reading
from sinkside.draft.notfigures import Found
from sinkside.instruction import Action, FigureRole, Stage
from sinkside.quantities import Figure, FigureQuantity

_NEAR = 4
_JOINS = {"in", "of", "de"}
_JOINING_WORDS = 1
_STOPS = {",", ";", "(", ")"}
_LARGEST_BRUSH_MM = 25.0
#: "10 times", "3x" and "6-fold" leave open what is counted: the action says it.
_OPEN_ROLES = {"times", "fold", "repeats"}
_ROLES_BY_ACTION = {
    Action.actuate: FigureRole.actuations,
    Action.sterilize: FigureRole.pulses,
    Action.brush: FigureRole.strokes,
}


def with_roles(found: Found, reading: Reading, action: Action, stage: Stage) -> tuple[Figure, ...]:
    """The figures of one reading with the parts that they play in a step."""
    figures = []
    for place, figure in enumerate(found.figures):
        role = _role(figure, place, found, reading, action=action, stage=stage)
        figures.append(figure if role == figure.role else figure.model_copy(update={"role": role}))
    return tuple(figures)


def _role(
    figure: Figure, place: int, found: Found, reading: Reading, *, action: Action, stage: Stage
) -> str | None:
    total = figure.role == FigureRole.total or _near(reading, found, "total")
    dosed = reading.has("substance") or action is Action.prepare_solution
    match figure.quantity:
        case FigureQuantity.volume:
            role = FigureRole.total.value if total else None
        case FigureQuantity.time:
            role = _role_of_time(found, reading, action, stage)
        case FigureQuantity.counted:
            role = _role_of_count(figure, found, reading, action)
        case FigureQuantity.length:
            role = _role_of_length(figure, place, found, reading, action)
        case FigureQuantity.mass:
            role = FigureRole.set_mass.value if stage is Stage.packaging else None
        case FigureQuantity.concentration | FigureQuantity.percent | FigureQuantity.ratio:
            role = FigureRole.dose.value if dosed else None
        case _:
            role = None
    return role


def _segment(reading: Reading, found: Found) -> tuple[int, int]:
    """The words around a figure, up to commas and semicolons."""
    first, last = found.first, found.last
    while first > 0 and reading.tokens[first - 1].norm not in {",", ";", "("}:
        first -= 1
    while last < len(reading.tokens) and reading.tokens[last].norm not in {",", ";", ")"}:
        last += 1
    return first, last


def _near(reading: Reading, found: Found, category: str) -> bool:
    first, last = max(0, found.first - 2), min(len(reading.tokens), found.last + 2)
    return bool(reading.all(category, first=first, last=last))


def _role_of_time(found: Found, reading: Reading, action: Action, stage: Stage) -> str | None:
    if stage in {Stage.point_of_use, Stage.transport}:
        return FigureRole.time_since_use.value if _since_use(reading, found, action) else None
    if action in {Action.dry, Action.blow} or _speaks_of_drying(reading, found):
        return FigureRole.drying.value
    if action in {Action.sterilize, Action.disinfect}:
        return FigureRole.exposure.value
    return None


def _speaks_of_drying(reading: Reading, found: Found) -> bool:
    """'drying time of 30 min' and '30 minutes dry time', without reaching over another number or comma."""
    first = found.first
    while (
        first > 0 and reading.tokens[first - 1].value is None and reading.tokens[first - 1].norm not in _STOPS
    ):
        first -= 1
    last = found.last
    ends = _STOPS | {"and", "then"}
    while last < min(found.last + 2, len(reading.tokens)) and reading.tokens[last].norm not in ends:
        last += 1
    before = reading.all("action", first=first, last=found.last)
    behind = reading.all("action", first=found.last, last=last)
    own = [x for x in behind if x.last >= len(reading.tokens) or reading.tokens[x.last].value is None]
    return any(lexeme.value == "dry" for lexeme in (*before, *own))


def _since_use(reading: Reading, found: Found, action: Action) -> bool:
    if action is Action.start_cleaning or any(figure.max is not None for figure in found.figures):
        return True
    behind = {token.norm for token in reading.tokens[found.last : found.last + _NEAR]}
    return bool(behind & {"use", "after", "surgery", "operation", "cleaning"})


def _role_of_count(figure: Figure, found: Found, reading: Reading, action: Action) -> str | None:
    if figure.role == "life" and (action is Action.actuate or reading.has("movement")):
        return FigureRole.actuations.value
    if figure.role not in _OPEN_ROLES:
        return figure.role
    if reading.has("count", "magnification") or reading.has("optics"):
        return FigureRole.magnification.value
    if found.pattern == "multiple":
        return FigureRole.repeats.value
    return _ROLES_BY_ACTION.get(action, FigureRole.repeats).value


def _role_of_length(figure: Figure, place: int, found: Found, reading: Reading, action: Action) -> str | None:
    if action is not Action.brush and not any(x.value == "brush" for x in reading.all("action")):
        return None
    if found.pattern == "multiple":
        return (FigureRole.brush_length if place else FigureRole.brush_diameter).value
    first, last = _segment(reading, found)
    beside = _dimension_beside(reading, found)
    dimensions = {beside} if beside else {x.value for x in reading.all("dimension", first=first, last=last)}
    if "length" in dimensions:
        return FigureRole.brush_length.value
    if dimensions & {"bore", "width"} or figure.number("mm") <= _LARGEST_BRUSH_MM:
        return FigureRole.brush_diameter.value
    return FigureRole.brush_length.value


def _dimension_beside(reading: Reading, found: Found) -> str | None:
    """What the word straight behind a figure measures: '3 mm in diameter and 350 mm long'."""
    for place in range(found.last, min(found.last + _JOINING_WORDS + 1, len(reading.tokens))):
        told = reading.at(place, "dimension")
        if told:
            return told.value
        if reading.tokens[place].norm not in _JOINS:
            return None
    return None
