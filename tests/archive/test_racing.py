"""Many at once: no gap, no double, no deadlock."""

from __future__ import annotations

import threading

from sinkside.archive import WorkspaceArchive, check
from sinkside.errors import Conflict
from sinkside.records import OneTimeLink, Revision
from support.archive_places import DEPARTMENT, SITE, Place, happening, job, later
from support.archive_writers import append_some, claim_all, use_link
from support.processes import start


def _with_department(place: Place) -> WorkspaceArchive:
    archive = place.open()
    with archive.unit() as unit:
        unit.sites.add(SITE)
    return archive


def test_processes_append_without_a_gap(place: Place) -> None:
    """Four processes append to one department: every number once, none missing, the chain whole."""
    _with_department(place).close()
    started = [start(append_some, place.folder, 25) for _ in range(4)]
    numbers = [number for one in started for told in one.all_said() for number in told]
    assert sorted(numbers) == list(range(1, 101))
    assert check(place.folder).is_sound


def test_threads_append_without_a_gap(archive: WorkspaceArchive) -> None:
    """Eight threads on one archive: the same."""
    numbers: list[int] = []

    def append() -> None:
        for number in range(10):
            with archive.unit() as unit:
                numbers.append(unit.journal.append(DEPARTMENT, happening(number)).sequence)

    threads = [threading.Thread(target=append) for _ in range(8)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(numbers) == list(range(1, 81))


def test_one_job_goes_to_one_worker(place: Place) -> None:
    """Four worker processes take thirty jobs: each job once."""
    archive = _with_department(place)
    with archive.unit() as unit:
        for number in range(30):
            unit.jobs.ask(job(number))
    archive.close()
    started = [start(claim_all, place.folder, f"w{number}") for number in range(4)]
    taken = [name for one in started for told in one.all_said() for name in told]
    assert sorted(taken) == sorted(f"j-{number}" for number in range(30))


def test_one_link_works_for_one(place: Place) -> None:
    """Four processes use one link at once: it works for one of them."""
    archive = place.open()
    with archive.unit() as unit:
        unit.people.add_link(OneTimeLink("one", "first-account", None, later(60)))
    archive.close()
    started = [start(use_link, place.folder, "one") for _ in range(4)]
    assert sorted(told for one in started for told in one.all_said()) == [False, False, False, True]


def test_of_two_who_edit_one_is_told(archive: WorkspaceArchive) -> None:
    """Two keep the same next revision at once: one is kept, the other is told of the conflict."""
    outcomes: list[str] = []
    ready = threading.Barrier(2)

    def edit(note: str) -> None:
        ready.wait()
        try:
            with archive.unit() as unit:
                unit.documents.keep(Revision("instruction", "i-1", 1, "{}", "", "system", later(0), note))
            outcomes.append("kept")
        except Conflict:
            outcomes.append("told")

    threads = [threading.Thread(target=edit, args=(note,)) for note in ("one", "two")]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(outcomes) == ["kept", "told"]
