"""Sign-offs of 5,000 people and 2,000 device families, a million standings: part of `make bench`.

Each page is asked for as a browser does, in this process, on SQLite and on PostgreSQL; what is told is the
time of the server from the request to the whole page, the slowest of several, after one that nobody counts.
"""

from __future__ import annotations

import argparse
import gc
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from sinkside import wiring
from sinkside.archive import WorkspaceArchive, create_workspace, open_archive
from sinkside.settings import Settings
from sinkside.web import Context, create_app
from support.browserless import Caller, signed_in
from support.postgresql_server import new_database, running_server
from support.standing_crowd import LEAD, SITE, Crowd, fill_crowd

PEOPLE: Final = 5_000
FAMILIES: Final = 2_000
BAR_S: Final = 0.300
RUNS: Final = 5


def main() -> int:
    """Fill both databases, ask for every page, and print what each takes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--people", type=int, default=PEOPLE)
    parser.add_argument("--families", type=int, default=FAMILIES)
    parser.add_argument("--only", choices=("sqlite", "postgresql"))
    options = parser.parse_args()
    slow = 0
    for kind in ("sqlite", "postgresql"):
        if options.only in {None, kind}:
            with place_on(kind) as archive:
                slow += measure(kind, archive, options.people, options.families)
    return 1 if slow else 0


@contextmanager
def place_on(kind: str) -> Iterator[WorkspaceArchive]:
    """An empty archive on one kind of database."""
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "house"
        if kind == "sqlite":
            create_workspace(place)
            yield open_archive(place)
            return
        with running_server() as server:
            create_workspace(place, database=new_database(server, "crowd"))
            archive = open_archive(place)
            yield archive
            archive.close()


def measure(kind: str, archive: WorkspaceArchive, people: int, families: int) -> int:
    """Print what each page takes on one database, and say how many are above the bar."""
    start = time.perf_counter()
    crowd = fill_crowd(archive, people_count=people, families=families, now=wiring.now())
    print(
        f"{kind}: {crowd.people} people, {crowd.families} families, {crowd.standings} sign-offs, "
        f"filled in {time.perf_counter() - start:.0f} s"
    )
    # What filling left in memory is no server's: going through it again and again is not measured.
    gc.collect()
    gc.freeze()
    context = Context(
        archive=archive,
        settings=Settings(),
        clock=wiring.now,
        badge_key=bytes(32),
        handlers=wiring.job_handlers(),
    )
    caller = signed_in(create_app(context), archive, LEAD, now=wiring.now())
    slow = 0
    for name, address in pages(crowd).items():
        took, spent = page_seconds(caller, address)
        slow += took > BAR_S
        word = "within" if took <= BAR_S else "ABOVE"
        print(
            f"  {name:<44} {took * 1000:6.0f} ms ({spent * 1000:.0f} ms of this process)   "
            f"{word} the bar of {BAR_S * 1000:.0f} ms"
        )
    return slow


def pages(crowd: Crowd) -> dict[str, str]:
    """Every page about sign-offs, by what it shows."""
    here = f"/at/{SITE.id}"
    return {
        "what is to be done next": f"{here}/sign-offs",
        "the same of one shift": f"{here}/sign-offs?shift=night",
        "the same of a shift of few": f"{here}/sign-offs?shift=few",
        "ends soon, a page further on": f"{here}/sign-offs?state=ending&offset=6000",
        "a person found by name": f"{here}/sign-offs?text=person+bcd",
        "families, what gapes first": f"{here}/sign-offs/families",
        "families found by name": f"{here}/sign-offs/families?text=family+19",
        "one family": f"{here}/sign-offs/families/{crowd.family}",
        "one person": f"{here}/sign-offs/people/{crowd.person}",
        "who on now can do a tray": f"{here}/sign-offs/tray?of={crowd.tray}",
        "the roster": f"{here}/sign-offs/roster",
        "one shift of the roster": f"{here}/sign-offs/roster?shift=night",
        "today": f"{here}/today",
        "what a sign-off needs": f"{here}/sign-offs/policy",
    }


def page_seconds(caller: Caller, address: str) -> tuple[float, float]:
    """The slowest of several turns after one that is not counted: seconds in all, and of this process."""
    taken = []
    for _ in range(RUNS + 1):
        start, spent = time.perf_counter(), time.process_time()
        answer = caller.get(address)
        taken.append((time.perf_counter() - start, time.process_time() - spent))
        assert answer.status_code == 200, (address, answer.text[:2000])
    return max(took for took, _ in taken[1:]), max(spent for _, spent in taken[1:])


if __name__ == "__main__":
    sys.exit(main())
