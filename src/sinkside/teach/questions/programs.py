"""The steam cycle that a text asks for, as a program whose record can be drawn for teaching."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.department import Program, ProgramKind
from sinkside.department.program_parts import AirRemovalPhase, Drying, Exposure
from sinkside.instruction import Action, AirRemoval, FigureRole, Instruction, Stage, Step
from sinkside.quantities import Bound, Figure, FigureQuantity, Quantity

#: How a machine gets the air out is its own affair; the drawn one does it so (common practice, no source).
_PULSES: Final = 3
_NAME: Final = "steam, as the text asks"
_VACUUM: Final = Quantity(15.0, "kPa")
_DRY_VACUUM: Final = Quantity(10.0, "kPa")
_BAND_K: Final = 3.0

#: Outside these nothing is drawn: the text then means no cycle under steam, or one that is to be questioned.
_TEMPERATURES_C: Final = (110.0, 138.0)
_EXPOSURES_S: Final = (60.0, 3600.0)
_LONGEST_DRYING_S: Final = 5400.0
_WIDEST_K: Final = 5.0


@dataclass(frozen=True)
class AskedCycle:
    """A steam cycle of the text: its program, and the figures that it was made of, in their order."""

    program: Program
    figures: tuple[Figure, ...]
    is_dried: bool


def asked_cycle(step: Step, instruction: Instruction, own: Program | None = None) -> AskedCycle | None:
    """The steam cycle that a step asks for, or none where it is not told or cannot be drawn.

    Args:
        step: which sterilizes.
        instruction: whose text may tell the drying elsewhere.
        own: the department's program, which says how its machine gets the air out.
    """
    exposed = step.figures_of(FigureQuantity.time, FigureRole.exposure)
    heated = step.figures_of(FigureQuantity.temperature)
    if step.action is not Action.sterilize or len(exposed) != 1 or len(heated) != 1:
        return None
    if step.air_removal not in {None, AirRemoval.prevacuum} or exposed[0].bound is Bound.at_most:
        return None
    band = _band(heated[0])
    if band is None or not _EXPOSURES_S[0] <= exposed[0].number("s") <= _EXPOSURES_S[1]:
        return None
    told = _drying(step, instruction)
    if len(told) > 1 or any(not _can_be_drawn(one) for one in told):
        return None
    drying = next(iter(told), None)
    program = Program(
        kind=ProgramKind.steam_prevacuum,
        name=_NAME,
        exposure=Exposure(
            temperature=Quantity(band[0], "°C"),
            band=Quantity(band[1], "K"),
            time=Quantity(exposed[0].number("s"), "s"),
        ),
        air_removal=_air_removal(own),
        drying=Drying(time=Quantity(drying.number("s"), "s"), vacuum=_DRY_VACUUM) if drying else None,
    )
    return AskedCycle(program, tuple(one for one in (heated[0], exposed[0], drying) if one), bool(drying))


def _air_removal(own: Program | None) -> AirRemovalPhase:
    """The department's own way, else a common one."""
    is_own = own is not None and own.kind is ProgramKind.steam_prevacuum
    told = own.air_removal if own is not None and is_own else None
    return told or AirRemovalPhase(pulses=_PULSES, vacuum=_VACUUM)


def _band(figure: Figure) -> tuple[float, float] | None:
    """Set temperature in °C and how far above it still counts, in K."""
    if figure.bound is Bound.at_most:
        return None
    low, high = figure.ends("°C")
    wide = high - low if figure.bound is Bound.between else _BAND_K
    if not _TEMPERATURES_C[0] <= low <= _TEMPERATURES_C[1] or not 0 < wide <= _WIDEST_K:
        return None
    return low, wide


def _drying(step: Step, instruction: Instruction) -> list[Figure]:
    """How long is dried after exposure: said in the step itself, or in one of its stage."""
    own = step.figures_of(FigureQuantity.time, FigureRole.drying)
    of_stage = [
        figure
        for other in instruction.stage(Stage.sterilization)
        if other.action is Action.dry and other.alternative == step.alternative
        for figure in other.figures_of(FigureQuantity.time)
    ]
    return [*own, *of_stage]


def _can_be_drawn(drying: Figure) -> bool:
    """Whether a record can show that a drying was long enough."""
    return drying.bound is not Bound.at_most and 0 < drying.number("s") <= _LONGEST_DRYING_S
