"""Pages about sign-offs do not grow with the house: hundreds of people here, thousands in the longer hunt."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import event

from sinkside import wiring
from sinkside.archive import create_workspace, open_archive
from sinkside.desk import sign_off_lists, sign_offs
from sinkside.desk.access import visitor_in
from sinkside.desk.cover import families_covered
from support.standing_crowd import LEAD, SITE, fill_crowd
from web.conftest import NOW

#: Five times as many people may ask this much more of the database, and nowhere near five times as much.
_MORE = 1.5
_STEPS = 100


def _work(folder: Path, people: int) -> dict[str, int]:
    """What the lists ask of SQLite, in hundreds of steps of its machine: no clock, so the same each time."""
    create_workspace(folder)
    archive = open_archive(folder)
    crowd = fill_crowd(archive, people_count=people, families=20, now=NOW, families_of_one=10)
    archive.engine.dispose()
    steps = [0]

    def count() -> int:
        steps[0] += 1
        return 0

    def watch(connection: sqlite3.Connection, _record: object) -> None:
        connection.set_progress_handler(count, _STEPS)

    event.listen(archive.engine, "connect", watch)
    with archive.unit(writes=False) as unit:
        who = visitor_in(unit, LEAD, SITE.id, NOW)
    asked: dict[str, Callable[[], object]] = {
        "to do": lambda: sign_off_lists.what_is_to_do(archive, who, now=NOW, limit=1),
        "few": lambda: sign_off_lists.what_is_to_do(archive, who, now=NOW, limit=1, shift="few"),
        "families": lambda: families_covered(archive, who, now=NOW),
        "person": lambda: sign_offs.how_person_stands(archive, who, crowd.person, now=NOW),
    }
    found = {}
    for name, ask in asked.items():
        steps[0] = 0
        ask()
        found[name] = steps[0]
    archive.close()
    return found


def test_five_times_as_many_people_ask_hardly_more_of_the_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is to be done, families by their gaps, one person: each reads about as much in a larger house."""
    monkeypatch.setattr(sign_off_lists, "MOST_COUNTED", 20)
    few, many = _work(tmp_path / "few", 30), _work(tmp_path / "many", 150)
    assert {name: (few[name], took) for name, took in many.items() if took > few[name] * _MORE} == {}
    assert min(few.values()) > 0


@pytest.mark.long
def test_every_page_of_a_million_sign_offs_keeps_to_the_bar() -> None:
    """The benchmark with 5,000 people and 2,000 families on both databases finds no page above 300 ms."""
    tool = Path(wiring.__file__).parents[2] / "tools" / "bench_teaching.py"
    done = subprocess.run([sys.executable, str(tool)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
