"""The house of the bench with sets on their way: to the washer, out of it, packed, sterilized."""

from __future__ import annotations

import functools
import tempfile
from pathlib import Path
from typing import Final

from sinkside.cycles import simulate, write_recorder_file
from sinkside.department import Program
from sinkside.desk import cycle_deciding, cycle_records
from sinkside.desk.bench import load_deciding
from sinkside.desk.bench.runs import copy_of_code
from sinkside.desk.uploads import Upload
from sinkside.records import KeptCopy, KeptLoad
from support.bench_house import CODES, BenchHouse, demo_department

WASHER: Final = {"machine": "washer-1"}
STERILIZER: Final = {"machine": "sterilizer-1"}
WASHING: Final = "Instruments 90"
STEAM: Final = "134 °C, 3 min"


def at_the_sink(bench: BenchHouse, *codes: str) -> None:
    """Sets that arrived and were cleaned by hand."""
    for code in codes:
        bench.done("tom", "arrive", code=code)
        bench.done("tom", "take-up", code=code)
        bench.done("tom", "start-station", code=code, station="sink")
    bench.later(11)
    for code in codes:
        bench.done("tom", "finish-station", code=code, station="sink")


def washed(bench: BenchHouse, *codes: str) -> str:
    """One load of the washer, decided without a record; the load."""
    bench.done("tom", "open-load", **WASHER, program=WASHING, rack="rack-trays")
    for code in codes:
        bench.done("tom", "add-to-load", **WASHER, code=code)
    bench.done("tom", "start-load", **WASHER)
    bench.later(50)
    bench.done("tom", "end-load", **WASHER, complete=True)
    load = load_with(bench, codes[0])
    load_deciding.decide_without_trace(
        bench.house.archive,
        bench.house.visitor("lena"),
        load,
        "released",
        read="92 °C for 5 min on the display",
        reason="this washer has no recorder",
        now=bench.now,
    )
    return load


def packed(bench: BenchHouse, *codes: str) -> None:
    """Sets from the clean side to a closed pack."""
    for code in codes:
        bench.done("tom", "to-clean-side", code=code)
        bench.done("tom", "look-all", code=code)
        bench.done("tom", "finish-station", code=code, station="bench")
        bench.done("tom", "count-all", code=code)
        bench.done("tom", "pack", code=code)


def sterilized(bench: BenchHouse, *codes: str) -> str:
    """One load of the sterilizer that ran to its end; the load, which waits for its record."""
    bench.done("tom", "open-load", **STERILIZER, program=STEAM)
    for code in codes:
        bench.done("tom", "add-to-load", **STERILIZER, code=code)
    bench.done("tom", "start-load", **STERILIZER)
    bench.later(45)
    bench.done("tom", "end-load", **STERILIZER, complete=True)
    return load_with(bench, codes[0])


def to_the_pack(bench: BenchHouse, *codes: str) -> str:
    """Sets all the way to a closed pack; the load of the washer."""
    at_the_sink(bench, *codes)
    load = washed(bench, *codes)
    packed(bench, *codes)
    return load


def recorded(bench: BenchHouse, load: str, kind: str = "normal") -> str:
    """The record of a load handed in; the cycle."""
    return load_deciding.hand_in_for(
        bench.house.archive, bench.house.visitor("tom"), load, [tape(kind)], now=bench.now
    )


def decided(bench: BenchHouse, cycle: str, decision: str = "released") -> None:
    """The lead's decision on a cycle."""
    who = bench.house.visitor("lena")
    known = cycle_records.open_cycle(bench.house.archive, who, cycle)
    cycle_deciding.decide(
        bench.house.archive,
        who,
        cycle,
        "released" if decision == "released" else "held",
        verdict_revision=known.verdict_revision,
        reason="looked at the packs and the record",
        seen=len(known.decisions),
        now=bench.now,
    )


@functools.cache
def tape(kind: str = "normal") -> Upload:
    """A simulated record of the demo's sterilizer."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{kind}.csv"
        write_recorder_file(simulate(_steam(), kind, seed=1), file)
        return Upload(file.name, "text/csv", file.read_bytes())


def _steam() -> Program:
    machine = next(one for one in demo_department().machines if one.id == "sterilizer-1")
    return next(one for one in machine.programs if one.name == STEAM)


def copy_now(bench: BenchHouse, code: str = CODES[0]) -> KeptCopy:
    """A copy as it stands."""
    with bench.house.archive.unit(writes=False) as unit:
        return copy_of_code(unit, "north", code)


def load_now(bench: BenchHouse, load: str) -> KeptLoad:
    """A load as it stands."""
    with bench.house.archive.unit(writes=False) as unit:
        return load_deciding.load_here(unit, bench.house.visitor("tom"), load)


def load_with(bench: BenchHouse, code: str) -> str:
    """The last load that a copy lay in."""
    copy = copy_now(bench, code)
    with bench.house.archive.unit(writes=False) as unit:
        return unit.bench.loads.of_copy(copy.id)[-1].load
