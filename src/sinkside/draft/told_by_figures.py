"""Actions that show by what stands around a verb: parts laid into a bath, liquid pushed through a lumen."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from sinkside.draft.stepping import StepDraft
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity

_INTO_IT = re.compile(
    r"\b(?:lay|put|place|leave|drop|lower|laid|placed|lie|left)\b[^.;]{0,60}?\b(?:in|into)\s+"
    r"(?:it|this|the\s+(?:\w+\s)?(?:bath|solution|basin|mixture))\b",
    re.IGNORECASE,
)
_LAID = frozenset({Action.load, Action.other, Action.set_position})
_PUSHED = re.compile(
    r"\b(?:push|press|force|draw|send|drive|pump|run|let|squeeze|pass)\b[^.;]*\d[^.;]*\bthrough\b",
    re.IGNORECASE,
)
_MAY_PUSH = frozenset({Action.wash, Action.other})
#: "Run it at 40 kHz for 8 minutes": only an ultrasonic bath is told by its frequency.
_MAY_SHAKE = frozenset({Action.wash, Action.other, Action.load})


def told_by_figures(steps: Sequence[StepDraft]) -> None:
    """Make a soak of what is laid into the bath made before it, a flush of a pushed volume, and the like."""
    for made, step in itertools.pairwise(steps):
        is_made = made.action is Action.prepare_solution and made.stage in {Stage.cleaning, Stage.preparation}
        if is_made and step.action in _LAID and _INTO_IT.search(step.origin.text):
            step.action = Action.soak
    for step in steps:
        step.action = _by_quantity(step)


def _by_quantity(step: StepDraft) -> Action:
    """What a volume that is pushed, or a frequency, makes of a step whose verb says little."""
    told = {figure.quantity for figure in step.figures}
    if FigureQuantity.volume in told and step.action in _MAY_PUSH and _PUSHED.search(step.origin.text):
        return Action.flush
    if FigureQuantity.frequency in told and step.action in _MAY_SHAKE and step.stage is Stage.cleaning:
        return Action.sonicate
    return step.action
