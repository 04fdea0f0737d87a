"""The lumens of a device in metres, and what its text leaves out about them."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.instruction import Feature, FeatureKind, Instruction, Step


@dataclass(frozen=True)
class LumenSize:
    """A lumen: its id, what the text calls it, and its sizes in m; none where the text does not tell."""

    id: str
    name: str
    part: str | None
    bore_m: float | None
    length_m: float | None
    rod_m: float

    @property
    def missing(self) -> tuple[str, ...]:
        """What would have to be known before anything can be computed."""
        sizes = (("bore", self.bore_m), ("length", self.length_m))
        return tuple(name for name, size in sizes if size is None)


def lumen_sizes(instruction: Instruction) -> tuple[LumenSize, ...]:
    """The lumens of a device, in the order of its text."""
    features = instruction.device.features
    return tuple(_size(one) for one in features if one.kind is FeatureKind.lumen)


def lumens_of(step: Step, sizes: tuple[LumenSize, ...]) -> tuple[LumenSize, ...]:
    """The lumens that a step works on: those it names, or all where it names none."""
    named = tuple(one for one in sizes if {one.id, one.part} & set(step.on))
    return named or sizes


def _size(feature: Feature) -> LumenSize:
    bore, length, rod = (
        size.to("m") if size is not None else None for size in (feature.bore, feature.length, feature.rod)
    )
    name = feature.name or feature.id
    return LumenSize(feature.id, name, feature.part, bore, length, rod or 0.0)
