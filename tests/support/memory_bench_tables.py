"""What the bench keeps, in memory."""

from __future__ import annotations

from dataclasses import dataclass, field

from sinkside.records import (
    CaseSet,
    KeptCase,
    KeptCopy,
    KeptLoad,
    KeptRun,
    KeptTap,
    LoadedCopy,
    PlanText,
)


@dataclass
class BenchTables:
    """What the bench keeps."""

    copies: dict[str, KeptCopy] = field(default_factory=dict)
    runs: dict[str, KeptRun] = field(default_factory=dict)
    plan_texts: dict[tuple[str, int, str], PlanText] = field(default_factory=dict)
    loads: dict[str, KeptLoad] = field(default_factory=dict)
    loaded: dict[tuple[str, str], LoadedCopy] = field(default_factory=dict)
    cases: dict[str, KeptCase] = field(default_factory=dict)
    case_sets: dict[tuple[str, str, int], CaseSet] = field(default_factory=dict)
    taps: dict[tuple[str, str], KeptTap] = field(default_factory=dict)
