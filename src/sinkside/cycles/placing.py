"""Where in a record each criterion was judged, so that a plot can show why it was met or missed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Criterion, PhaseSpan

#: Criteria that are not named for their phase, by the phase that they were judged in.
_PHASE_OF: Final[Mapping[str, str]] = {
    "saturation": "exposure",
    "equilibration": "exposure",
    "fluctuation": "exposure",
    "drain-below-chamber": "exposure",
    "air-partial-pressure": "exposure",
    "come-up": "heating",
    "air-left": "air-removal",
    "a0": "disinfection",
    "conductivity": "disinfection",
    "detergent-dose": "wash",
    "spray-arm": "wash",
    "pump-pressure": "wash",
    "connected-ports": "wash",
    "leak-vacuum": "leak-rate",
    "leak-time": "leak-rate",
    "frequency": "sonication",
}
_PLATEAUS: Final = ("exposure", "disinfection", "sonication")


def placed(criteria: Iterable[Criterion], phases: Sequence[PhaseSpan], samples: Samples) -> list[Criterion]:
    """The criteria with the seconds from and to which each was judged.

    What belongs to no phase that was found was looked for in the whole record, or, before exposure, from its
    start: air removal.
    """
    spans = {phase.name: (phase.start_s, phase.end_s) for phase in phases}
    whole = (0.0, float(samples.times_s[-1]))
    plateau = next((spans[name] for name in _PLATEAUS if name in spans), whole)
    found = []
    for criterion in criteria:
        start, end = _span_of(criterion.id, spans, plateau) or whole
        found.append(criterion.model_copy(update={"start_s": start, "end_s": end}))
    return found


def _span_of(
    criterion: str, spans: Mapping[str, tuple[float, float]], plateau: tuple[float, float]
) -> tuple[float, float] | None:
    name = _PHASE_OF.get(criterion) or max(
        (phase for phase in spans if criterion.startswith(phase)), key=len, default=""
    )
    if name == "air-removal" or criterion == "air-removal-pulses":
        return (0.0, plateau[0]) if plateau[0] > 0.0 else None
    if criterion == "probe-spread" or (name not in spans and criterion.endswith(("-least", "-most"))):
        return plateau
    return spans.get(name)
