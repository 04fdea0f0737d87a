"""Upgrades: an older workspace is refused by name, backed up, and brought up to date or left as it was."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import inspect

from sinkside.archive import backup, check, migrating, open_archive, restore, upgrade
from sinkside.errors import BadInput, SinksideError
from support.archive_places import DEPARTMENT, NOW, Place, fill

_LATER = f"{int(migrating.LATEST) + 1:04}"
_NEXT = f'''"""A later step, for the tests."""

import sqlalchemy as sa
from alembic import op

revision = "{_LATER}"
down_revision = "{migrating.LATEST}"


def upgrade() -> None:
    """Add a table."""
    op.create_table("later", sa.Column("id", sa.Integer(), primary_key=True))
'''


def _in_the_future(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, *, step: str = _NEXT) -> None:
    """Make this program one version newer."""
    migrations = tmp_path / "migrations"
    shutil.copytree(migrating.MIGRATIONS, migrations, ignore=shutil.ignore_patterns("__pycache__"))
    (migrations / "versions" / f"v{_LATER}_later.py").write_text(step, encoding="utf-8")
    monkeypatch.setattr(migrating, "MIGRATIONS", migrations)
    monkeypatch.setattr(migrating, "LATEST", _LATER)


def _tables(place: Place) -> list[str]:
    archive = place.open()
    try:
        return inspect(archive.engine).get_table_names()
    finally:
        archive.close()


def _filled(place: Place) -> Place:
    archive = place.open()
    fill(archive)
    archive.close()
    return place


def test_an_older_workspace_is_upgraded_after_a_backup(
    place: Place, new_place: Callable[[], Place], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Opening names the command; the command backs up and upgrades; the backup restores, up to date."""
    _filled(place)
    _in_the_future(monkeypatch, tmp_path)
    with pytest.raises(BadInput, match="sinkside upgrade"):
        open_archive(place.folder)
    made = upgrade(place.folder, now=NOW)
    assert made is not None
    assert "later" in _tables(place)
    assert check(place.folder).is_sound
    assert upgrade(place.folder, now=NOW) is None
    there = new_place()
    restore(made, there.folder, database=there.database)
    assert "later" in _tables(there)
    assert check(there.folder).heads == check(place.folder).heads


def test_a_failed_upgrade_leaves_everything_as_it_was(
    place: Place, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The tables that a failing step had made are gone again, on SQLite too."""
    _filled(place)
    with monkeypatch.context() as patched:
        _in_the_future(patched, tmp_path, step=f"{_NEXT}    op.execute('nonsense')\n")
        with pytest.raises(SinksideError, match="does not answer"):
            upgrade(place.folder, now=NOW)
    assert "later" not in _tables(place)
    assert check(place.folder).is_sound


def test_a_newer_workspace_is_refused(place: Place, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """An older program neither opens nor upgrades it, but can still save it."""
    _filled(place)
    with monkeypatch.context() as patched:
        _in_the_future(patched, tmp_path)
        upgrade(place.folder, now=NOW)
    with pytest.raises(BadInput, match="newer version"):
        open_archive(place.folder)
    with pytest.raises(BadInput, match="newer version"):
        upgrade(place.folder, now=NOW)
    made = backup(place.folder, tmp_path / "newer.tar", now=NOW)
    assert made.heads[0].department == DEPARTMENT
