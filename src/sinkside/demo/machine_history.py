"""Three weeks of checks in the demo house: most pass, one fails, one is forgotten; all of it invented."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from sinkside.desk import machine_checks, machine_standing
from sinkside.desk.access import Visitor
from sinkside.desk.machine_own_checks import replace_check
from sinkside.desk.ports import Archive

#: How far back it begins.
HISTORY: Final = timedelta(days=20)
_SATURDAY: Final = 5

#: The checks of each day of work, with what was answered.
_DAILY: Final = (
    ("sterilizer-1", "air-removal", ("yes",)),
    ("sterilizer-2", "air-removal", ("yes",)),
    ("washer-1", "screens-and-arms", ("yes", "yes", "yes")),
    ("washer-2", "screens-and-arms", ("yes", "yes", "yes")),
)
_OF_THE_LAST_DAYS: Final = (
    ("room-sink", "room-climate", ("19.5", "44", "yes")),
    ("room-packing", "room-climate", ("21.5", "42", "yes")),
    ("room-store", "room-climate", ("22", "45", "yes")),
    ("ro-loop", "conductivity", ("4.2",)),
    ("sealer-1", "seal", ("178", "yes", "yes")),
    ("incubator-1", "incubator", ("57.4",)),
    ("borescope-19", "borescope", ("yes", "yes")),
)
#: Leak rates of Sterilizer 2, week by week: it creeps up and then fails today.
_LEAK_RATES: Final = {"sterilizer-1": ("0.4", "0.5", "0.4"), "sterilizer-2": ("0.6", "0.8", "1.1")}
_SELDOM: Final = (
    ("room-sink", "eyewash", ("yes", "yes")),
    ("bath-1", "ultrasonic-activity", ("foil", "yes")),
    ("ro-loop", "water-germs", ("2", "0.1")),
    ("soft-cold", "water-results", ("20", "7.4", "400")),
    ("mixer", "water-results", ("45", "7.3", "380")),
)
_LAST_DAYS: Final = 3


def fill_machine_history(archive: Archive, lead: Visitor, technician: Visitor, *, now: datetime) -> None:
    """Record what happened at the machines up to yesterday."""
    start = now - HISTORY
    replace_check(
        archive,
        lead,
        "biological",
        is_needed=True,
        days=1,
        bounds={},
        reason="Agreed with infection prevention after the last audit.",
        now=start,
    )
    _weekly(archive, technician, start)
    for back in range(HISTORY.days, 0, -1):
        day = now - timedelta(days=back)
        if day.weekday() >= _SATURDAY:
            continue
        _daily(archive, technician, _DAILY, day)
        if back <= _LAST_DAYS:
            _daily(archive, technician, _OF_THE_LAST_DAYS, day)
    _screens_that_did_not_pass(archive, lead, technician, now=now)


def fill_today(archive: Archive, technician: Visitor, *, now: datetime) -> None:
    """Record what was done this morning: one leak rate test does not pass, one washer ran unchecked."""
    _daily(archive, technician, (*_DAILY[:3], *_OF_THE_LAST_DAYS[:1], *_OF_THE_LAST_DAYS[3:5]), now)
    machine_checks.record_check(
        archive,
        technician,
        "sterilizer-2",
        "leak-rate",
        ["1.6"],
        note="Twice in a row; the door gasket looks worn at the lower corner.",
        now=now,
    )


def _daily(
    archive: Archive,
    technician: Visitor,
    checks: tuple[tuple[str, str, tuple[str, ...]], ...],
    day: datetime,
) -> None:
    for thing, check, answers in checks:
        machine_checks.record_check(archive, technician, thing, check, answers, now=day)


def _weekly(archive: Archive, technician: Visitor, start: datetime) -> None:
    _daily(archive, technician, _SELDOM, start + timedelta(days=14))
    for machine, rates in _LEAK_RATES.items():
        for week, rate in enumerate(rates):
            day = start + timedelta(days=7 * week)
            machine_checks.record_check(archive, technician, machine, "leak-rate", [rate], now=day)


def _screens_that_did_not_pass(
    archive: Archive, lead: Visitor, technician: Visitor, *, now: datetime
) -> None:
    """Eight days ago a nozzle of Washer 2 was blocked, and was put right the same day."""
    day = now - timedelta(days=8)
    for hours, answer in ((1, "no"), (2, "yes")):
        machine_checks.record_check(
            archive,
            technician,
            "washer-2",
            "screens-and-arms",
            ["yes", "yes", answer],
            note="A seed of a tomato in the middle nozzle." if answer == "no" else "Nozzle cleared.",
            now=day + timedelta(hours=hours),
        )
    machine_standing.return_to_use(
        archive,
        lead,
        "washer-2",
        reason="Nozzle cleared, arm turns, checked again.",
        now=day + timedelta(hours=3),
    )
