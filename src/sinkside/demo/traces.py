"""The dozen recorder files of the demo: which machine, which program, what went wrong, which dialect."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class DemoTrace:
    """One simulated recorder file."""

    name: str
    program: str
    kind: str
    seed: int
    dialect: str

    @property
    def machine(self) -> str:
        """The id of the machine that wrote it."""
        return self.name.rpartition("-")[0]


DEMO_TRACES = (
    DemoTrace("sterilizer-1-0612", "134-5", "normal", 11, "eu"),
    DemoTrace("sterilizer-1-0747", "134-5", "normal", 12, "eu"),
    DemoTrace("sterilizer-1-0931", "134-5", "short-dry", 13, "eu"),
    DemoTrace("sterilizer-1-1118", "132-4", "normal", 14, "eu"),
    DemoTrace("sterilizer-1-1250", "132-4", "residual-air", 15, "eu"),
    DemoTrace("sterilizer-1-1422", "132-4", "truncated", 16, "eu"),
    DemoTrace("sterilizer-2-0655", "134-3", "normal", 17, "us"),
    DemoTrace("sterilizer-2-0840", "134-3", "missing-pulse", 18, "us"),
    DemoTrace("washer-1-0705", "washer", "normal", 19, "si"),
    DemoTrace("washer-1-0820", "washer", "normal", 20, "si"),
    DemoTrace("washer-2-0715", "washer", "low-disinfection", 21, "fr"),
    DemoTrace("washer-2-0835", "washer", "normal", 22, "fr"),
)
