"""Figures as people type them, one a line: `20–45 °C`, `at least 4 min exposure`, `3 × repeats`, `pH 7–9`."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from pydantic import ValidationError

from sinkside.aids.figures import figure_in_words
from sinkside.errors import BadInput, BadQuantity
from sinkside.instruction import FigureRole
from sinkside.language.numbers import NO_BREAK
from sinkside.quantities import Figure, FigureQuantity, Quantity
from sinkside.quantities.units import canonical_unit

#: What a unit measures, where it can be only one thing in an instruction.
_QUANTITIES: Final[Mapping[str, FigureQuantity]] = {
    **dict.fromkeys(("°C", "°F"), FigureQuantity.temperature),
    "K": FigureQuantity.temperature_difference,
    **dict.fromkeys(("s", "min", "h", "d", "week", "month", "year"), FigureQuantity.time),
    **dict.fromkeys(("mL", "L"), FigureQuantity.volume),
    **dict.fromkeys(("bar", "kPa", "mbar", "MPa", "Pa", "psi"), FigureQuantity.pressure),
    **dict.fromkeys(("bar/min", "kPa/min", "mbar/min"), FigureQuantity.pressure_rate),
    **dict.fromkeys(("mL/L", "mL/mL", "g/L", "mg/L"), FigureQuantity.concentration),
    "%": FigureQuantity.percent,
    "ratio": FigureQuantity.ratio,
    **dict.fromkeys(("mm", "cm", "m"), FigureQuantity.length),
    **dict.fromkeys(("Hz", "kHz", "MHz"), FigureQuantity.frequency),
    **dict.fromkeys(("kg", "g", "lb"), FigureQuantity.mass),
    "µS/cm": FigureQuantity.conductivity,
    "L/min": FigureQuantity.flow,
    "m/s": FigureQuantity.speed,
    "deg": FigureQuantity.angle,
    **dict.fromkeys(("N·m", "N·cm"), FigureQuantity.torque),
    **dict.fromkeys(("kV", "V"), FigureQuantity.voltage),
    "pH": FigureQuantity.ph,
    "1": FigureQuantity.counted,
}

#: Words and signs that bind, longest first: which end they set, and whether the end itself is left out.
_BOUNDS: Final[Mapping[str, tuple[str, bool]]] = {
    "not more than": ("max", False),
    "no more than": ("max", False),
    "not less than": ("min", False),
    "not above": ("max", False),
    "not below": ("min", False),
    "more than": ("min", True),
    "less than": ("max", True),
    "at least": ("min", False),
    "at most": ("max", False),
    "above": ("min", True),
    "below": ("max", True),
    "up to": ("max", False),
    "min.": ("min", False),
    "max.": ("max", False),
    "over": ("min", True),
    "≥": ("min", False),
    "≤": ("max", False),
    ">=": ("min", False),
    "<=": ("max", False),
    ">": ("min", True),
    "<": ("max", True),
}
#: What a count is of, in the words that stand behind its number.
_COUNTED: Final[Mapping[str, FigureRole]] = {
    "drop": FigureRole.drops,
    "stroke": FigureRole.strokes,
    "pulse": FigureRole.pulses,
    "use": FigureRole.life,
    "uses": FigureRole.life,
}
_GROUPED: Final = re.compile(r"(?<![\d.,])\d{1,3},\d{3}(?!\d)")
_NUMBER: Final = r"[+-]?\d+(?:[.,]\d+)?"
_LINE: Final = re.compile(
    rf"(?P<named>pH|A0|F0)?\s*(?P<bound>{'|'.join(map(re.escape, _BOUNDS))})?\s*(?P<low>{_NUMBER})"
    rf"(?:\s*(?:[\-–]|to|and)\s*(?P<high>{_NUMBER}))?\s*(?P<rest>.*)",
    re.IGNORECASE,
)
_TIMES: Final = re.compile(r"(?:×|x|times)(?=\s|$)\s*", re.IGNORECASE)
_REFERENCES: Final = {"gauge": "gauge", "absolute": "absolute", "abs": "absolute"}
_EXPECTED: Final = "expected a number and a unit a line, such as 'at least 4 min exposure' or '20–45 °C'"


def figure_lines(figures: Iterable[Figure]) -> str:
    """Figures as lines that read back as the same figures."""
    return "\n".join(figure_line(figure) for figure in figures)


def figure_line(figure: Figure) -> str:
    """One figure on one line: bound, number, unit, and the part that it plays.

    >>> figure_line(Figure(quantity="time", min=4, unit="min", role="exposure"))
    '≥ 4 min exposure'
    """
    words = re.sub(r"(?<=\d),(?=\d{3}\b)", "", figure_in_words(figure).replace(NO_BREAK, " "))
    if figure.quantity is FigureQuantity.ph and not words.startswith("pH"):
        words = f"pH {words.removesuffix(' pH')}"
    role = figure.role or ""
    last = words.rpartition(" ")[2]
    is_said = not role or role in {last, _COUNTED.get(last)} or (role == FigureRole.repeats and last == "×")
    return words if is_said else f"{words} {role.replace('-', ' ')}"


def read_figure_lines(text: str, known: Sequence[Figure] = ()) -> tuple[Figure, ...]:
    """The figures that lines say; a line that was not touched stays the figure that it was.

    Args:
        text: one figure a line.
        known: the figures that stood there before.

    Raises:
        BadInput: at the first line that cannot be read, with what was expected.

    >>> read_figure_lines("at least 4 min exposure")[0].min
    4.0
    """
    left = list(known)
    figures = []
    for written in filter(None, (line.strip() for line in text.splitlines())):
        same = next((figure for figure in left if _alike(figure_line(figure), written)), None)
        if same is not None:
            left.remove(same)
        figures.append(same or _read(written))
    return tuple(figures)


def _alike(one: str, other: str) -> bool:
    return one.split() == other.replace(NO_BREAK, " ").split()


def _read(written: str) -> Figure:
    if grouped := _GROUPED.search(written):
        plain = grouped[0].replace(",", "")
        raise BadInput(
            f"'{grouped[0]}' can be read in two ways; expected {plain}, or a point before the decimals",
            resource="figures",
        )
    match = _LINE.fullmatch(written.replace(NO_BREAK, " "))
    if match is None:
        raise _refusal(written)
    unit, role, reference = _unit_and_role(match, written)
    low = Quantity.parse(match["low"]).value
    ends: dict[str, float | bool] = {"value": low}
    if match["high"]:
        ends = {"min": low, "max": Quantity.parse(match["high"]).value}
    elif match["bound"]:
        end, is_strict = _BOUNDS[match["bound"].lower()]
        ends = {end: low, **({"strict": True} if is_strict else {})}
    quantity = FigureQuantity.lethality if match["named"] in {"A0", "F0"} else _QUANTITIES[unit]
    if ends.get("min", low) > ends.get("max", low):
        raise BadInput(f"'{written}' runs backwards; expected the lower end first", resource="figures")
    names_role = bool(role) and (unit != "1" or "×" in written) and written.lower().endswith(role)
    as_written = written[: -len(role)].strip() if names_role else written
    values = {"quantity": quantity, "unit": unit, "as_written": as_written, **ends}
    try:
        figure = Figure.model_validate(values | ({"reference": reference} if reference else {}))
    except ValidationError:
        raise _refusal(written) from None
    return figure.model_copy(update={"role": _COUNTED.get(role, role.replace(" ", "-"))}) if role else figure


def _unit_and_role(match: re.Match[str], written: str) -> tuple[str, str, str]:
    """The unit, the part that the figure plays as it was typed, and what a pressure refers to."""
    rest = match["rest"].strip()
    if match["named"]:
        named = match["named"].lower()
        unit = {"ph": "pH", "a0": "s", "f0": "min"}[named]
        return unit, _role(re.sub(rf"^{unit}\b", "", rest).strip(), written), ""
    if times := _TIMES.match(rest):
        return "1", _role(rest[times.end() :], written) or "repeats", ""
    words = rest.split()
    if not words:
        raise _refusal(written)  # a number alone may have lost its unit
    for many in range(min(len(words), 2), -1, -1):
        try:
            unit = _unit(" ".join(words[:many]))
        except BadQuantity:
            continue
        after = words[many:]
        reference = _REFERENCES.get(after[0].lower(), "") if after else ""
        if unit in _QUANTITIES:
            return unit, _role(" ".join(after[1 if reference else 0 :]), written), reference
    raise _refusal(written)


def _unit(text: str) -> str:
    return text if text == "mL/mL" else canonical_unit(text)


def _role(text: str, written: str) -> str:
    words = text.strip(" ()").lower()
    if words in _COUNTED:
        return words
    if words and words.replace(" ", "-") not in list(FigureRole):
        roles = ", ".join(role.value.replace("-", " ") for role in FigureRole)
        raise BadInput(
            f"'{words}' in '{written}' is no part that a figure can play; expected one of {roles}",
            resource="figures",
        )
    return words


def _refusal(written: str) -> BadInput:
    return BadInput(f"'{written}' cannot be read as a figure; {_EXPECTED}", resource="figures")
