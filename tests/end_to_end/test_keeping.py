"""Keeping a workspace from the command line: backup, restore, check, upgrade, worker; what they refuse."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

import pytest

from sinkside import wiring
from sinkside.demo.house import mark_demo
from support.command import Sinkside
from support.filled_house import house_at
from support.postgresql_server import new_database, running_server


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A demo workspace."""
    folder = house_at(tmp_path_factory.mktemp("kept") / "house")
    mark_demo(folder)
    return folder


def test_a_backup_restores_to_a_workspace_that_passes_check(
    sinkside: Sinkside, house: Path, tmp_path: Path
) -> None:
    """What was backed up comes back whole, with the printed heads; none of it overwrites anything."""
    kept, again = tmp_path / "house.backup", tmp_path / "again"
    made = sinkside("backup", str(kept), "--workspace", str(house))
    assert made.status == 0, made.err
    head = re.search(r"^valley: head (\S+)$", made.out, re.MULTILINE)
    assert head is not None
    assert sinkside("backup", str(kept), "--workspace", str(house)).status == 2
    assert sinkside("restore", str(kept), "--workspace", str(again)).status == 0
    checked = sinkside("check", "--workspace", str(again), "--head", f"valley={head[1]}")
    assert checked.status == 0, checked.out
    assert sinkside("restore", str(kept), "--workspace", str(again)).status == 2
    assert sinkside("upgrade", "--workspace", str(again)).out == "there is nothing to upgrade\n"


def test_a_house_is_moved_to_a_server_and_works_on_there(
    sinkside: Sinkside, house: Path, tmp_path: Path
) -> None:
    """The command says how to switch; with that line in the workspace's file, check finds the same chains."""
    kept, moved = tmp_path / "house.backup", tmp_path / "moved"
    assert sinkside("backup", str(kept), "--workspace", str(house)).status == 0
    assert sinkside("restore", str(kept), "--workspace", str(moved)).status == 0
    before = sinkside("check", "--workspace", str(moved)).out
    with running_server() as server:
        to = new_database(server, "moved")
        done = sinkside("move", "--to", to, "--workspace", str(moved))
        assert done.status == 0, done.err
        line = re.search(r'^to work on it from now on, write (database = "\S+") in ', done.out, re.MULTILINE)
        assert line is not None
        marker = moved / "workspace.toml"
        marker.write_text(marker.read_text("utf-8").replace('database = ""', line[1]), "utf-8")
        (moved / "sinkside.sqlite3").unlink()
        assert sinkside("check", "--workspace", str(moved)).out == before
        again = sinkside("move", "--to", to, "--workspace", str(moved))
        assert again.status == 2
        assert "own file" in again.err


def test_check_names_what_was_altered(sinkside: Sinkside, house: Path, tmp_path: Path) -> None:
    """A byte changed behind the program's back is found, named, and gives exit status 1."""
    kept, altered = tmp_path / "house.backup", tmp_path / "altered"
    assert sinkside("backup", str(kept), "--workspace", str(house)).status == 0
    assert sinkside("restore", str(kept), "--workspace", str(altered)).status == 0
    stored = next(path for path in sorted((altered / "files").rglob("*")) if path.is_file())
    stored.chmod(0o600)
    stored.write_bytes(stored.read_bytes()[:-1] + b"!")
    checked = sinkside("check", "--workspace", str(altered))
    assert checked.status == 1
    assert stored.name[:12] in checked.out


def test_the_worker_does_what_waits(sinkside: Sinkside, house: Path) -> None:
    """With --once the worker reads the documents that wait, then stops."""
    done = sinkside("worker", "--workspace", str(house), "--once")
    assert done.status == 0
    assert done.err.count("draft-document") == 3
    assert done.err.count(": done") == 3


@pytest.mark.parametrize(
    "arguments",
    [
        ["check", "--workspace", "nowhere"],
        ["check"],
        ["upgrade", "--workspace", "nowhere"],
        ["backup", "b", "--workspace", "nowhere"],
        ["restore", "nothing.backup", "--workspace", "new"],
        ["worker", "--workspace", "nowhere"],
    ],
)
def test_what_is_no_workspace_is_said_in_one_sentence(
    sinkside: Sinkside, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str]
) -> None:
    """A missing workspace or backup gets one plain sentence and exit status 2."""
    monkeypatch.chdir(tmp_path)
    ran = sinkside(*arguments)
    assert ran.status == 2
    assert ran.err.count("\n") == 1
    assert ran.err.startswith("sinkside: ")


def test_serve_refuses_what_it_must_not_serve(sinkside: Sinkside, house: Path, tmp_path: Path) -> None:
    """A demo house is not served as a real one, another folder not at all, nor an older one."""
    assert "--demo" in sinkside("serve", "--workspace", str(house)).err
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("Dear all", "utf-8")
    assert sinkside("serve", "--workspace", str(other)).status == 2
    older = tmp_path / "older"
    wiring.make_workspace(older)
    with sqlite3.connect(older / "sinkside.sqlite3") as database:
        database.execute("UPDATE alembic_version SET version_num = '0000'")
    database.close()
    refused = sinkside("serve", "--workspace", str(older))
    assert refused.status == 2
    assert "sinkside upgrade" in refused.err
