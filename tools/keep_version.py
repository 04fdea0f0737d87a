"""Keeps a house as this version of the program writes it, for the versions to come to upgrade in their tests.

    python tools/keep_version.py

Fills the invented house, backs it up and packs the backup into `tests/archive/versions/NUMBER.tar.xz`, NUMBER
being the migration that the tables stand at. Run once, when a version is released: what is kept is never made
anew.
"""

from __future__ import annotations

import lzma
import tempfile
from pathlib import Path

from sinkside import wiring
from sinkside.archive.migrating import LATEST
from sinkside.demo.house import fill_house

KEPT = Path(__file__).parents[1] / "tests" / "archive" / "versions"


def main() -> None:
    """Keep this version, if it is not kept yet."""
    target = KEPT / f"{LATEST}.tar.xz"
    if target.exists():
        raise SystemExit(f"{target} is there already, and what was released does not change")
    with tempfile.TemporaryDirectory() as name:
        house, backup = Path(name) / "house", Path(name) / "house.backup"
        wiring.make_workspace(house)
        fill_house(wiring.open_workspace(house), now=wiring.now())
        manifest = wiring.back_up(house, backup)
        target.write_bytes(lzma.compress(backup.read_bytes(), preset=9))
    for head in manifest.heads:
        print(f"{target.name}: {head.department} {head.printed}")


if __name__ == "__main__":
    main()
