"""What the whole instruction says about the device, and binds every step: limits, materials, prohibitions."""

from __future__ import annotations

import re
from dataclasses import dataclass

from sinkside.instruction import Feature, FeatureKind, Instruction, StatementKind, Step
from sinkside.quantities import Figure, FigureQuantity
from sinkside.route.lumens import Lumen, lumens_in_the_load
from sinkside.route.windows import Window, amount

#: Some prohibitions name what is allowed instead ("nothing other than"); they forbid no action by name.
#: One with a figure limits what it speaks of, and does not forbid it.
_EXCEPTING = re.compile(r"\bother than|\bexcept|\bunless|\binstead", re.IGNORECASE)
_FLOOR = re.compile(r"(?<!not )\bbelow\b|\bunder\b|\bless than\b", re.IGNORECASE)
_BOILING_C = 100.0
_LUMEN = re.compile(r"\blumen|\bbore\b|\bchannel|\bcannul", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Facts:
    """What binds every step of an instruction."""

    instruction: Instruction
    ph: tuple[Window, ...]
    chloride: Window | None
    sterilizing_ceiling: Window | None
    prohibitions: tuple[tuple[str, tuple[str, ...]], ...]
    mass_kg: float | None
    lumens: tuple[Lumen, ...]
    features: frozenset[FeatureKind]

    @classmethod
    def of(cls, instruction: Instruction) -> Facts:
        """The facts of an instruction.

        Raises:
            BadQuantity: if a limit carries a unit that measures something else.
        """
        limits = _limits(instruction)
        device = instruction.device
        return cls(
            instruction=instruction,
            ph=_ph_windows(limits),
            chloride=_first(limits, FigureQuantity.concentration, "chlorid", "mg/L"),
            sterilizing_ceiling=_ceiling(limits),
            prohibitions=tuple(
                (statement.origin.text, statement.about)
                for statement in instruction.statements
                if statement.kind is StatementKind.prohibition
                and not statement.figures
                and not _EXCEPTING.search(statement.origin.text)
            ),
            mass_kg=amount(device.mass, "kg") if device.mass else None,
            lumens=lumens_in_the_load(instruction),
            features=frozenset(feature.kind for feature in device.features),
        )

    def prohibition_of(self, pattern: re.Pattern[str], step: Step) -> str:
        """The words that forbid what a pattern describes on what the step concerns; empty if none do."""
        parts = {part.id for part in self.instruction.device.parts}
        for text, about in self.prohibitions:
            named = parts.intersection(about)
            if pattern.search(text) and (not named or not step.on or named.intersection(step.on)):
                return text
        return ""

    def mentions(self, pattern: re.Pattern[str]) -> bool:
        """Whether a prohibition speaks of what a pattern describes."""
        return any(pattern.search(text) for text, _ in self.prohibitions)

    def materials_of(self, step: Step) -> frozenset[str]:
        """The materials that a step wets: those of the parts it names, else of all."""
        device = self.instruction.device
        named = {*step.on, *(feature.part for feature in device.features if feature.id in step.on)}
        parts = [part for part in device.parts if part.id in named] or list(device.parts)
        return frozenset(material.casefold() for part in parts for material in part.materials)

    def lumens_of(self, step: Step) -> tuple[Feature, ...]:
        """The lumens that a step works on: named, or on a part that it names while it speaks of a lumen."""
        lumens = [
            feature
            for feature in self.instruction.device.features
            if feature.kind is FeatureKind.lumen and feature.brushable is not False
        ]
        named = tuple(lumen for lumen in lumens if lumen.id in step.on)
        if named or not _LUMEN.search(step.origin.text):
            return named
        return tuple(lumen for lumen in lumens if not step.on or lumen.part in step.on)


def _limits(instruction: Instruction) -> list[tuple[Figure, str]]:
    """Every figure that limits the device, with the words that say what it limits."""
    found: list[tuple[Figure, str]] = [
        (limit, f"{limit.limits} {limit.origin.text}") for limit in instruction.device.limits
    ]
    for statement in instruction.statements:
        if statement.kind in {StatementKind.limit, StatementKind.prohibition, StatementKind.warning}:
            text = statement.origin.text
            found += [(_permitted(figure, statement.kind, text), text) for figure in statement.figures]
    return found


def _ph_windows(limits: list[tuple[Figure, str]]) -> tuple[Window, ...]:
    """The pH that the device bears; two bare values of one sentence are a range, one is no limit."""
    found = []
    bare: dict[str, list[float]] = {}
    for figure, text in limits:
        if figure.quantity is FigureQuantity.ph and figure.value is None:
            found.append(Window.of(figure, "pH"))
        elif figure.quantity is FigureQuantity.ph and figure.value is not None:
            bare.setdefault(text, []).append(figure.value)
    for values in bare.values():
        if len(set(values)) > 1:
            ends = Figure(quantity=FigureQuantity.ph, min=min(values), max=max(values), unit="pH")
            found.append(Window.of(ends, "pH"))
    return tuple(found)


def _permitted(figure: Figure, kind: StatementKind, text: str) -> Figure:
    """What remains allowed: "no cleaner above pH 10" forbids what lies above, so 10 is the most."""
    if kind is not StatementKind.prohibition or figure.value is not None:
        return figure
    if figure.max is None:
        return figure.model_copy(update={"min": None, "max": figure.min, "strict": None})
    if figure.min is None and _FLOOR.search(text):
        return figure.model_copy(update={"min": figure.max, "max": None, "strict": None})
    return figure


def _as_top(figure: Figure) -> Figure:
    """A bare value that limits something is the most that it bears."""
    if figure.value is None:
        return figure
    return figure.model_copy(update={"value": None, "max": figure.value})


def _ceiling(limits: list[tuple[Figure, str]]) -> Window | None:
    """The hottest that the device bears: said of sterilizing, or too hot to be said of anything else."""
    windows = [
        (Window.of(_as_top(figure), "°C"), text)
        for figure, text in limits
        if figure.quantity is FigureQuantity.temperature
    ]
    tops = [
        window
        for window, text in windows
        if window.high < float("inf") and ("steril" in text.casefold() or window.high >= _BOILING_C)
    ]
    return min(tops, key=lambda window: window.high, default=None)


def _first(limits: list[tuple[Figure, str]], quantity: FigureQuantity, word: str, unit: str) -> Window | None:
    for figure, text in limits:
        if figure.quantity is quantity and word in text.casefold():
            window = Window.of(_as_top(figure), unit)
            return window if window.high != float("inf") else None
    return None
