"""The page of the documentation that tells every simulated fault, made from the table of faults itself."""

from __future__ import annotations

from typing import Final

from sinkside.cycles.simulate.faults import FAULTS, Fault

_INTRO: Final = """# Faults that are simulated, and how small they may be and must still be seen

`sinkside simulate KIND --program FILE --seed N --out FILE` writes the record of a cycle that never ran:
`normal`, or with one of these faults, by chance between its smallest and its largest size. The same seed
makes the same file. This page is made from the program (`make docs`), its pictures by
`tools/fault_pictures.py`.

**How.** Steam cycles are integrated in steps of two seconds, many side by side: the partial pressures of
steam and air (Dalton), a load that steam condenses on and that boils dry again, a jacket, a pump with its
ultimate pressure, leaks, a drain where air collects, probes that lag and scatter. Washers fill with water
that mixes with the load's warmth, heat with so many watts against the loss to the room, dose, hold, change
water, and dry with hot air. Makers and figures of machines are invented.

**Seen** is what the verdict must be: `fails` where a criterion is missed on samples that can be trusted,
`unclear` where the record no longer shows what is required, either where size or moment decide. None may be
`meets`: `tests/cycles/test_simulated.py` holds every fault to it at its smallest size, in every program
that can have it and in the dialects of many recorders.

**What no record of pressure and temperature shows**: a wet load behind a good vacuum, a package that tore,
a lumen in which air stayed, soil. These are looked for by people, by test loads and by indicators.
"""


def faults_page() -> str:
    """The page with every fault: what it is, its sizes, what the verdict must be, and a picture."""
    lines = [_INTRO, "| fault | what it is | smallest … largest | seen | picture |", "|---|---|---|---|---|"]
    lines += [_row(fault) for fault in FAULTS]
    return "\n".join(lines) + "\n"


def _row(fault: Fault) -> str:
    sizes = f"{fault.smallest:g} … {fault.largest:g} {fault.unit}"
    if fault.smallest == fault.largest:
        sizes = f"{fault.smallest:g} {fault.unit}"
    seen = "`fails` or `unclear`" if fault.seen == "either" else f"`{fault.seen}`"
    picture = f"[picture](pictures/{fault.name}.webp)"
    return f"| `{fault.asked_as}` | {fault.what} | {sizes} | {seen} | {picture} |"
