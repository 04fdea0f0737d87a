"""Houses as released versions of the program wrote them, kept packed in `tests/archive/versions`."""

from __future__ import annotations

import io
import json
import lzma
import re
import tarfile
from dataclasses import dataclass
from pathlib import Path

from sinkside.archive import Manifest, migrating

VERSIONS = Path(__file__).parents[1] / "archive" / "versions"


@dataclass(frozen=True)
class KeptVersion:
    """A house as the program of a version wrote it.

    Attributes:
        version: the migration that its tables stand at.
        house: its workspace, on SQLite.
        backup: the backup that the same program made of it.
        manifest: what the backup says of itself.
    """

    version: str
    house: Path
    backup: Path
    manifest: Manifest

    @property
    def heads(self) -> dict[str, str]:
        """The heads of the chains, as they were printed then."""
        return {head.department: head.printed for head in self.manifest.heads}

    @property
    def rows(self) -> dict[str, int]:
        """How many rows each table had."""
        return {part.name: part.rows for part in self.manifest.tables}

    def column(self, table: str, *names: str) -> list[tuple[object, ...]]:
        """Some columns of a table, as they stand in the backup."""
        part = next(part for part in self.manifest.tables if part.name == table)
        places = [part.columns.index(name) for name in names]
        with tarfile.open(self.backup) as packed:
            lines = packed.extractfile(part.member)
            assert lines is not None
            return [tuple(json.loads(line)[place] for place in places) for line in lines]


def kept_versions() -> list[str]:
    """The versions that are kept, oldest first."""
    return sorted(path.name.partition(".")[0] for path in VERSIONS.glob("*.tar.xz"))


def released_migrations() -> list[str]:
    """Every migration but the latest: something was built upon it, so that houses stand at it."""
    names = (path.name for path in (migrating.MIGRATIONS / "versions").glob("v*.py"))
    numbers = [found[1] for name in names if (found := re.match(r"v(\d+)_", name))]
    return sorted(number for number in numbers if number < migrating.LATEST)


def unpacked(version: str, folder: Path) -> KeptVersion:
    """A kept version, unpacked into a folder."""
    packed = lzma.decompress((VERSIONS / f"{version}.tar.xz").read_bytes())
    with tarfile.open(fileobj=io.BytesIO(packed)) as files:
        files.extractall(folder, filter="data")
    backup = folder / "house.backup"
    with tarfile.open(backup) as inside:
        said = inside.extractfile("manifest.json")
        assert said is not None
        manifest = Manifest.model_validate_json(said.read())
    assert manifest.version == version
    return KeptVersion(version, folder / "house", backup, manifest)
