"""Indicators of the demo house: lots, one that is to be read, one that incubates, strips; all invented."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Final

from sinkside.desk import indicators
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Archive

_HOURS: Final = 3.0


def fill_indicators(
    archive: Archive, technician: Visitor, cycles: Mapping[str, str], *, now: datetime
) -> None:
    """Record the indicators of this morning's loads.

    Args:
        archive: where they are kept.
        technician: who records them.
        cycles: the cycles by the names of their files.
        now: the moment.
    """
    today = now.date()
    spores = indicators.add_lot(
        archive,
        technician,
        "biological",
        name="Tellspore 3",
        lot="TS-2417",
        expires=_month_end(today, days=210),
        hours=_HOURS,
        now=now,
    )
    strips = indicators.add_lot(
        archive,
        technician,
        "chemical",
        name="Barline strip",
        lot="B5-0932",
        expires=_month_end(today, days=400),
        now=now,
    )
    for name, implant, words, hours in (
        ("sterilizer-1-0612", False, "Two orthopaedic trays", 4.0),
        ("sterilizer-1-0747", True, "Plates and screws, small", 1.0),
    ):
        cycle = cycles[name]
        indicators.say_load(archive, technician, cycle, implant=implant, words=words, now=now)
        indicators.look_at_chemical(archive, technician, cycle, strips, passed=True, now=now)
        indicators.place_biological(
            archive, technician, cycle, spores, started=now - timedelta(hours=hours), now=now
        )


def _month_end(day: date, *, days: int) -> date:
    """The last day of the month in which a day some time later lies, as boxes are printed."""
    later = day + timedelta(days=days)
    following = (later.replace(day=28) + timedelta(days=4)).replace(day=1)
    return following - timedelta(days=1)
