"""Three weeks of cycles of one sterilizer whose pump tires: all meet their program, yet something moves."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

import numpy as np

from sinkside.cycles import write_recorder_file
from sinkside.cycles.simulate import Recording, simulate_many
from sinkside.department import Program
from sinkside.desk import cycle_deciding, cycle_handing_in
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Archive
from sinkside.desk.uploads import Upload

MACHINE: Final = "sterilizer-1"
PROGRAM: Final = "134-3"

_STEADY: Final = 31
_TIRING: Final = 9
_LOSS_KPA: Final = 0.45
_A_DAY: Final = 4
_SATURDAY: Final = 5

#: Older recorders write seldom.
_INTERVAL_S: Final = 5.0

#: At this pressure steam is let in again, so that no pulse is as deep as drying.
_TURNED_EARLIER_KPA: Final = 10.0


def fill_cycle_history(
    archive: Archive, lead: Visitor, technician: Visitor, program: Program, *, now: datetime
) -> None:
    """Hand in and release what ran up to yesterday."""
    ran = cycle_handing_in.Ran(MACHINE, program.name)
    recordings = _recordings(program)
    for number, at in enumerate(_moments(now)):
        upload = _as_file(recordings[number], number)
        kept = cycle_handing_in.hand_in_cycles(archive, technician, [upload], ran=ran, now=at)
        cycle_deciding.decide(
            archive,
            lead,
            kept.cycles[0],
            "released",
            verdict_revision=1,
            reason="Strips and packs were looked at; that was kept on paper then.",
            now=at + timedelta(minutes=10),
        )


def _moments(now: datetime) -> Iterator[datetime]:
    """When each cycle was handed in, the first first: some each day of work, up to yesterday."""
    moments: list[datetime] = []
    day = now - timedelta(days=1)
    while len(moments) < _STEADY + _TIRING:
        if day.weekday() < _SATURDAY:
            moments += [day + timedelta(minutes=95 * place) for place in range(_A_DAY, 0, -1)]
        day -= timedelta(days=1)
    return reversed(moments[: _STEADY + _TIRING])


def _recordings(program: Program) -> list[Recording]:
    """What the recorder wrote; once the pump tires, the chamber is emptied a little less in each cycle."""
    count = _STEADY + _TIRING
    made = simulate_many(program, ["normal"] * count, range(400, 400 + count), interval_s=_INTERVAL_S)
    return [_with_a_tired_pump(one, _LOSS_KPA * max(number - _STEADY, 0)) for number, one in enumerate(made)]


def _with_a_tired_pump(recording: Recording, loss_kpa: float) -> Recording:
    """The deepest vacuum lost, the more the deeper; pulses that turn earlier are as they were."""
    pressure = recording.pressure_kpa
    if pressure is None:
        return recording
    depth = np.clip((_TURNED_EARLIER_KPA - pressure) / _TURNED_EARLIER_KPA, 0.0, 1.0)
    return replace(recording, pressure_kpa=pressure + loss_kpa * depth)


def _as_file(recording: Recording, number: int) -> Upload:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{MACHINE}-n{number + 1:03d}.csv"
        write_recorder_file(recording, path, dialect="eu")
        return Upload(path.name, "text/csv", path.read_bytes())
