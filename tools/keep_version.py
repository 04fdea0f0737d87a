"""Keeps a house as this version of the program writes it, for the versions to come to upgrade in their tests.

    python tools/keep_version.py

Fills the invented house and packs it, with a backup of it, into `tests/archive/versions/NUMBER.tar.xz`,
NUMBER being the migration that the tables stand at. Run once, before the next migration is added: what is
kept is never made anew.
"""

from __future__ import annotations

import io
import lzma
import tarfile
import tempfile
from pathlib import Path

from sinkside import archive
from sinkside.archive.migrating import LATEST
from sinkside.demo.house import fill_house
from sinkside.wiring import back_up, make_workspace, now

KEPT = Path(__file__).parents[1] / "tests" / "archive" / "versions"


def main() -> None:
    """Keep this version, if it is not kept yet."""
    target = KEPT / f"{LATEST}.tar.xz"
    if target.exists():
        raise SystemExit(f"{target} is there already, and what was released does not change")
    with tempfile.TemporaryDirectory() as name:
        house, backup = Path(name) / "house", Path(name) / "house.backup"
        make_workspace(house)
        opened = archive.open_archive(house)
        fill_house(opened, now=now())
        opened.close()
        manifest = back_up(house, backup)
        target.write_bytes(lzma.compress(_packed(house, backup), preset=9 | lzma.PRESET_EXTREME))
    for head in manifest.heads:
        print(f"{target.name}: {head.department} {head.printed}")


def _packed(*places: Path) -> bytes:
    """Files and folders as one tar file, each under its own name."""
    held = io.BytesIO()
    with tarfile.open(fileobj=held, mode="w") as packed:
        for place in places:
            packed.add(place, arcname=place.name)
    return held.getvalue()


if __name__ == "__main__":
    main()
