"""Kill -9 while several write: nothing acknowledged is lost, nothing is half there."""

from __future__ import annotations

import random
import time
from datetime import UTC, datetime, timedelta

import pytest

from sinkside.archive import CheckReport, check
from sinkside.records import Wanted
from support.archive_places import DEPARTMENT, SITE, Place
from support.archive_writers import write_until_killed
from support.figures import Figure
from support.processes import kill, start

WRITERS = 2


def _kill_again_and_again(place: Place, *, times: int, seed: int) -> tuple[int, CheckReport]:
    """Start writers, kill them at a random moment, look at what is left; on one workspace all along.

    Gives how many writes were acknowledged, each of which was found again, and what a check says in the end.
    """
    chance = random.Random(seed)  # noqa: S311 # when to kill is no secret
    archive = place.open()
    with archive.unit() as unit:
        unit.sites.add(SITE)
    acknowledged = 0
    for turn in range(times):
        started = [start(write_until_killed, place.folder, f"t{turn}-{one}-") for one in range(WRITERS)]
        assert all(one.said.poll(30) for one in started)
        time.sleep(chance.uniform(0, 0.15))
        told = kill(started)
        acknowledged += len(told)
        with archive.unit(writes=False) as unit:
            for sequence, digest, subject, number, file in told:
                [event] = unit.journal.events(DEPARTMENT, Wanted(before=sequence + 1, limit=1))
                assert event.digest == digest
                assert unit.documents.get("cycle", subject, number) is not None
                assert unit.files.read(file)
    archive.sweep(datetime.now(UTC) + timedelta(days=2))
    archive.close()
    return acknowledged, check(place.folder)


def _is_whole(report: CheckReport) -> bool:
    """Whether nothing is wrong, nothing is left over, and each write is there with all of its parts."""
    sound = report.is_sound and not report.unnamed_files
    return sound and report.revisions == report.events == report.files


def test_nothing_acknowledged_is_lost(place: Place) -> None:
    """Ten kills while four threads in two processes edit, upload and decide."""
    acknowledged, report = _kill_again_and_again(place, times=10, seed=1)
    assert _is_whole(report), report
    assert report.events >= acknowledged >= 10 * WRITERS


@pytest.mark.long
def test_nothing_acknowledged_is_lost_in_the_long_run(place: Place, figure: Figure) -> None:
    """Two hundred kills."""
    acknowledged, report = _kill_again_and_again(place, times=200, seed=2)
    assert _is_whole(report), report
    assert report.events >= acknowledged >= 200 * WRITERS
    figure(f"200 kills, {acknowledged:,} acknowledged writes, none lost")
