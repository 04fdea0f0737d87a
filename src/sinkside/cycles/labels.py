"""What the machine itself calls its phases, against what temperature and pressure show."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

import numpy as np

from sinkside.cycles import wording
from sinkside.cycles.trace import Label, Trace
from sinkside.cycles.trust import Samples
from sinkside.cycles.verdict import Answer, MeasuredValue, PhaseSpan
from sinkside.findings import Finding, Measure

#: What machines call the phases that are compared; a label says nothing about the others.
_CALLED: Final = {
    "exposure": re.compile(r"steril|expos|hold|halte|einwirk|plateau|esteril|stérilis|desinf", re.IGNORECASE),
    "drying": re.compile(r"dry|trock|sécha|seca|asciug|drog", re.IGNORECASE),
}
_SAME: Final = {"exposure": ("exposure", "disinfection", "sonication"), "drying": ("drying",)}

#: A controller starts its phases by its own probe, and a recorder's clock is another one.
_CLOSE_S: Final = 30.0
_CLOSE_SHARE: Final = 0.2

#: References of 121.0 and 121.11 °C and a controller's own probe move a count by less than this share.
_COUNTS_ALIKE: Final = 0.15

_SAYS_GOOD: Final = re.compile(
    r"\b(pass(ed)?|ok|o\.k\.|complete[d]?|success\w*|in ordnung|bestanden|conforme|correct[eo]?)\b",
    re.IGNORECASE,
)
_SAYS_BAD: Final = re.compile(
    r"\b(not|nicht|non|no|in)[ -]?(pass|ok|complete|conform|bestanden)", re.IGNORECASE
)


def label_findings(trace: Trace, samples: Samples, phases: tuple[PhaseSpan, ...]) -> list[Finding]:
    """Where the machine names a phase while the record shows that it was not, or not yet."""
    found = []
    for name, called in _CALLED.items():
        shown = [phase for phase in phases if phase.name in _SAME[name]]
        named = [label for label in trace.labels if called.search(label.text)]
        found += [finding for label in named[:3] if (finding := _compared(label, shown, samples)) is not None]
    return found


def remark_findings(trace: Trace, answer: Answer) -> list[Finding]:
    """Where the machine calls a cycle good that the record does not show to be."""
    if answer == "meets":
        return []
    texts = [remark.text for remark in trace.remarks] + [label.text for label in trace.labels]
    said = next((text for text in texts if _SAYS_GOOD.search(text) and not _SAYS_BAD.search(text)), None)
    return [] if said is None else [wording.MACHINE_SAYS.finding(evidence={"words": said[:80]})]


def counter_findings(trace: Trace, values: Mapping[str, MeasuredValue]) -> list[Finding]:
    """Where a machine's own count of F0 or A0 is another than that of the recorded temperatures."""
    found = []
    for counter in trace.counters:
        ours = next((values[name] for name in ("f0", "a0") if name in values), None)
        known = counter.values[np.isfinite(counter.values)]
        if ours is None or not known.size or counter.unit not in {"", ours.unit}:
            continue
        counted = float(known.max())
        if abs(counted - ours.value) > _COUNTS_ALIKE * max(ours.value, 1.0):
            found.append(
                wording.COUNTER_DISAGREES.finding(
                    evidence={
                        "counter": counter.name,
                        "counted": Measure(value=counted, unit=ours.unit),
                        "ours": Measure(value=ours.value, unit=ours.unit),
                    }
                )
            )
    return found


def _compared(label: Label, shown: list[PhaseSpan], samples: Samples) -> Finding | None:
    """A finding where most of what a label covers lies outside the phase that it names."""
    lasted = label.end_s - label.start_s
    inside = sum(max(0.0, min(p.end_s, label.end_s) - max(p.start_s, label.start_s)) for p in shown)
    outside = lasted - inside
    if outside <= max(_CLOSE_S, _CLOSE_SHARE * lasted, 3.0 * samples.interval_s):
        return None
    return wording.LABEL_DISAGREES.finding(
        evidence={
            "words": label.text[:60],
            "start": Measure(value=label.start_s, unit="s"),
            "end": Measure(value=label.end_s, unit="s"),
            "outside": Measure(value=outside, unit="s"),
        }
    )
