"""Which answers of a question are right: read from the instruction, never from the question's own mark.

A figure is read back from the words of the choice, positions from theirs, a tray and a record from their
drawings. Nothing that makes questions is used.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from xml.etree import ElementTree as ET

import numpy as np
from shapely import Polygon
from shapely.affinity import translate

from sinkside.instruction import Action, Instruction, PartUse, StatementKind, Step
from sinkside.instruction.positions import simulate
from sinkside.plain import PlainStep, Voice, plain_figures, plain_steps
from sinkside.plain.operations import shown_operations
from sinkside.plain.templates import HELD
from sinkside.plain.wording import thing_name
from sinkside.quantities import Figure
from sinkside.route import ChosenFigure
from sinkside.teach.question import Choice, Question
from sinkside.teach.reasons import fits, reasons

#: Units as plain words write them, as factor and offset to SI (BIPM, SI Brochure, 9th edition: from memory).
_TO_SI: dict[str, tuple[float, float]] = {
    "s": (1, 0), "min": (60, 0), "h": (3600, 0), "day": (86400, 0), "days": (86400, 0),
    "week": (604800, 0), "weeks": (604800, 0), "month": (2629800, 0), "months": (2629800, 0),
    "year": (31557600, 0), "years": (31557600, 0),
    "°C": (1, 273.15), "°F": (5 / 9, 459.67 * 5 / 9), "mL": (1e-6, 0), "L": (1e-3, 0),
    "bar": (1e5, 0), "mbar": (1e2, 0), "kPa": (1e3, 0), "psi": (6894.757293168, 0),
    "kg": (1, 0), "g": (1e-3, 0), "lb": (0.45359237, 0), "mm": (1e-3, 0), "cm": (1e-2, 0),
    "kHz": (1e3, 0), "Hz": (1, 0), "MHz": (1e6, 0), "kV": (1e3, 0), "V": (1, 0),
    "mL/L": (1e-3, 0), "%": (1e-2, 0), "": (1, 0), "×": (1, 0),
    "drop": (1, 0), "drops": (1, 0), "stroke": (1, 0), "strokes": (1, 0), "pulse": (1, 0), "pulses": (1, 0),
    "use": (1, 0), "uses": (1, 0),
}  # fmt: skip
_READ = re.compile(
    r"^(?:A0 |F0 )?(?P<bound>at least |at most |more than |less than )?(?:pH )?(?P<low>[\d.,]+)"
    r"(?:–(?P<high>[\d.,]+))? ?(?P<unit>\D*)$"
)
_SVG = "{http://www.w3.org/2000/svg}"
_NEVER_THERE = {PartUse.discard_after_use, PartUse.sterile_at_field}
_NEAR_MM = 0.6

Span = tuple[float, float]
_LATEST: list[tuple[Instruction, tuple[PlainStep, ...]]] = []


def right_answers(question: Question, instruction: Instruction) -> list[int]:
    """Which choices are right by the instruction's own data, counted from 0."""
    check: Callable[..., bool] = _CHECKS[question.kind.value]
    choices = question.choices
    return [at for at, choice in enumerate(choices) if check(choice, question, instruction)]


def span_of(words: str) -> Span:
    """Lowest and highest that a figure in plain words allows, in SI; open ends are infinite."""
    found = _READ.match(re.sub(r"[\u00a0\u202f]", " ", words).strip())
    assert found, f"no figure can be read from '{words}'"
    unit = found["unit"].strip().removesuffix("absolute").removesuffix("gauge").strip()
    factor, offset = _TO_SI[unit]
    low = float(found["low"].replace(",", "")) * factor + offset
    high = float(found["high"].replace(",", "")) * factor + offset if found["high"] else low
    bound = found["bound"] or ""
    if bound in {"at least ", "more than "}:
        return low, math.inf
    return (-math.inf, low) if bound else (low, high)


def allows(choice: Span, allowed: Span) -> bool:
    """Whether who keeps to a choice may still be right: an end of it inside what is allowed, or all of it.

    On the very end of the allowed range a choice may begin, if it goes the other way from there.
    """
    low, high = allowed
    tiny = 1e-6 * max(abs(end) for end in (*choice, *allowed) if math.isfinite(end)) + 1e-12
    if low - tiny <= choice[0] and choice[1] <= high + tiny:
        return True
    return any(low + tiny < end < high - tiny for end in choice if math.isfinite(end))


def _figure(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether a figure of the step, or of an alternative to it, is what the choice says or allows it."""
    step = instruction.step(question.step)
    right = question.choices[question.right].text
    own = [figure for figure in step.figures if _said(figure, step) == right]
    assert own, f"'{right}' is no figure of {step.id}"
    kind = {(figure.quantity, figure.role) for figure in own}
    others = [
        figure
        for other in instruction.steps
        if other is step or (step.alternative and other.alternative and other.action is step.action)
        for figure in other.figures
        if (figure.quantity, figure.role) in kind
    ]
    chosen = span_of(choice.text)
    return any(allows(chosen, span_of(_said(figure, step))) for figure in others)


def _said(figure: Figure, step: Step) -> str:
    return plain_figures((ChosenFigure(required=figure),), Voice(), action=step.action)[0].text


def _plain(instruction: Instruction) -> tuple[PlainStep, ...]:
    """The steps in plain words; those of the latest instruction are kept, as it is asked about many times."""
    if not _LATEST or _LATEST[0][0] is not instruction:
        _LATEST[:] = [(instruction, plain_steps(None, instruction))]
    return _LATEST[0][1]


def _step_words(instruction: Instruction) -> dict[str, str]:
    """What each step is called, by its words; a step that shares its words is not among them."""
    named: dict[str, list[str]] = {}
    for plain in _plain(instruction):
        lines = f" ({', '.join(plain.lines)})" if plain.lines else ""
        named.setdefault(f"{plain.headline}{lines}".casefold(), []).append(plain.steps[0])
    return {words: ids[0] for words, ids in named.items() if len(ids) == 1}


def _order(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether no other choice is earlier in the text, or later where the last is asked for."""
    known, places = _step_words(instruction), {step.id: at for at, step in enumerate(instruction.steps)}
    at = [places[known[one.text.casefold()]] for one in question.choices]
    mine = places[known[choice.text.casefold()]]
    return mine == (min(at) if "first" in question.prompt else max(at))


def _next(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether the choice is the step straight after the one that the prompt quotes."""
    known, places = _step_words(instruction), {step.id: at for at, step in enumerate(instruction.steps)}
    quoted = re.search(r"“(.*)”\.", question.prompt)
    assert quoted
    return places[known[choice.text.casefold()]] == places[known[quoted[1].casefold()]] + 1


def _position(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether every position that the choice names is one that the step is in."""
    by_words = {words: held for held, words in HELD.items()}
    named = [by_words[words] for words in choice.text.split(", ")]
    moment = next(one for one in simulate(instruction) if one.step.id == question.step)
    known: Mapping[str, str] = {mover: held.position for mover, held in moment.during.items()}
    return all(known.get(mover) == position for mover, position in named)


def _missing(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether the choice is a part that goes through processing and is not in the prompt's list."""
    parts = [part for part in instruction.device.parts if part.use not in _NEVER_THERE]
    names = {thing_name(part.id, instruction, Voice()) for part in parts}
    lying = question.prompt.partition(": ")[2].partition(". Which")[0].split(", ")
    assert set(lying) < names
    return choice.text in names - set(lying)


def _tray(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether the drawing shows what the choice says."""
    words: str = choice.text
    lying, tray = _laid(question.drawing)
    wall = Polygon(tray)
    ids = re.findall(r"(\w+) \(", question.prompt)
    named = re.findall(r"(\w+) \(", words)
    over = {
        frozenset({one, two})
        for one in lying
        for two in lying
        if one < two and lying[one].intersects(lying[two])
    }
    at_wall = {one for one in lying if lying[one].distance(wall.exterior) < _NEAR_MM}
    gone = set(ids) - set(lying)
    if words.startswith("One piece lies on another"):
        return frozenset(named) in over
    if words.startswith("A piece touches"):
        return named[0] in at_wall
    if words.startswith("A piece is not there"):
        return named[0] in gone
    return not over and not at_wall and not gone


def _laid(drawing: str) -> tuple[dict[str, Polygon], list[tuple[float, float]]]:
    """The pieces of a drawn tray as they lie, and the tray's floor."""
    root = ET.fromstring(drawing)  # noqa: S314 # our own drawing
    floor = next(one for one in root.iter(f"{_SVG}rect") if one.get("rx") == "5")
    long, wide = float(floor.get("width", 0)), float(floor.get("height", 0))
    pieces: dict[str, Polygon] = {}
    for group in root.iter(f"{_SVG}g"):
        if group.get("data-piece"):
            path = group.find(f"{_SVG}path")
            assert path is not None
            numbers = [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path.get("d", ""))]
            shape = Polygon(list(zip(numbers[::2], numbers[1::2], strict=True))).buffer(0)
            pieces[group.get("data-piece", "")] = translate(
                shape, float(group.get("data-x", 0)), float(group.get("data-y", 0))
            )
    return pieces, [(0, 0), (long, 0), (long, wide), (0, wide)]


def _cycle(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether the drawn curves show what the choice says, held against the figures of the text."""
    step = instruction.step(question.step)
    minutes, hot, pressed = _curves(question.drawing)
    low = step.figures_of("temperature")[0].ends("°C")[0]
    exposure = step.figures_of("time", "exposure")[0].number("min")
    every = float(np.median(np.diff(minutes)))
    plateau = hot > low - 8.0
    held = float((hot >= low - 0.15).sum()) * every
    after = np.arange(minutes.size) > np.flatnonzero(plateau)[-1]
    dried = float(((pressed < 12.0) & after).sum()) * every
    wanted = _drying(step, instruction)
    is_cold = bool(hot[plateau].max() < low - 0.5)
    is_short = not is_cold and held < 0.75 * exposure
    is_wet = wanted is not None and dried < 0.5 * wanted
    says: str = choice.text
    return {
        "The exposure is too cold": is_cold,
        "The exposure is too short": is_short,
        "There is no drying": is_wet,
        "Nothing that is missing": not (is_cold or is_short or is_wet),
    }[says]


def _drying(step: Step, instruction: Instruction) -> float | None:
    told = [*step.figures_of("time", "drying")]
    told += [
        figure
        for other in instruction.steps
        if other.stage == "sterilization" and other.action is Action.dry
        for figure in other.figures_of("time")
    ]
    return told[0].number("min") if told else None


def _curves(drawing: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Minutes, temperature and pressure as drawn, by the numbers beside the axes."""
    root = ET.fromstring(drawing)  # noqa: S314 # our own drawing
    texts = [
        (one.text or "", float(one.get("x", 0)), float(one.get("y", 0)), one.get("text-anchor"))
        for one in root.iter(f"{_SVG}text")
    ]
    upright = [(float(text), y - 3.5) for text, _, y, anchor in texts if anchor == "end" and text.isdigit()]
    first = [at for at, (value, _) in enumerate(upright) if value == 0]
    scales = (upright[: first[1]], upright[first[1] :])
    across = [(float(text), x) for text, x, _, anchor in texts if anchor == "middle"]
    lines = [one.get("d", "") for one in root.iter(f"{_SVG}path") if one.get("stroke-width") == "1.5"]
    points = [np.array([[float(n) for n in pair.split()] for pair in line[1:].split("L")]) for line in lines]
    minutes = np.interp(points[0][:, 0], [x for _, x in across], [value for value, _ in across], right=np.nan)
    slope = (across[-1][0] - across[0][0]) / (across[-1][1] - across[0][1])
    minutes = across[0][0] + (points[0][:, 0] - across[0][1]) * slope
    values = [
        scale[0][0]
        + (curve[:, 1] - scale[0][1]) * (scale[-1][0] - scale[0][0]) / (scale[-1][1] - scale[0][1])
        for scale, curve in zip(scales, points, strict=True)
    ]
    return minutes, values[0], values[1]


def _trouble(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether the choice is the text's own answer: a prohibition, or this step's end, caution or case."""
    said = _folded(choice.text)
    prompt: str = question.prompt
    step = instruction.step(question.step)
    if prompt.startswith("Which of these must never"):
        forbidden = {
            _folded(one.origin.text)
            for one in instruction.statements
            if one.kind is StatementKind.prohibition
        }
        asked_for = {_folded(one.origin.text) for one in instruction.steps}
        assert (said in forbidden) != (said in asked_for)
        return said in forbidden
    if "seen that it is done" in prompt:
        return said == _folded(step.until or "")
    if "minded" in prompt:
        return said in {_folded(caution) for caution in step.cautions}
    assert step.condition
    headline = next(one.headline for one in _plain(instruction) if step.id in one.steps)
    words = f"{step.condition} {step.origin.text} {headline}"
    return said in _folded(words)


def _reason(choice: Choice, question: Question, instruction: Instruction) -> bool:
    """Whether a reason of the catalogue holds for the step, or for any step of the same kind of work."""
    operations = shown_operations(None, instruction)
    step = instruction.step(question.step)
    stage = [one for one in operations if one.stage == step.stage]
    told = [reason for reason in reasons() if reason.text == choice.text and reason.about == "why"]
    assert told, f"'{choice.text}' is no reason of the catalogue"
    return any(fits(reason, operation, instruction) for reason in told for operation in stage)


def _folded(words: str) -> str:
    return " ".join(words.split()).rstrip(".").casefold()


_CHECKS: dict[str, Callable[..., bool]] = {
    "figure": _figure,
    "order": _order,
    "next": _next,
    "position": _position,
    "missing-part": _missing,
    "tray-fault": _tray,
    "cycle-plot": _cycle,
    "reason": _reason,
    "trouble": _trouble,
}
