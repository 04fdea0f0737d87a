"""The archive: where everything is kept, on SQLite or PostgreSQL and in a folder of files. The only SQL."""

from sinkside.archive.archive import UnitOfWork, WorkspaceArchive, open_archive
from sinkside.archive.backup import backup
from sinkside.archive.checking import CheckReport, Problem, check, check_archive
from sinkside.archive.holding import held_alone
from sinkside.archive.manifest import ChainHead, Manifest
from sinkside.archive.moving import Moved, MovedTable, move
from sinkside.archive.restore import restore
from sinkside.archive.upgrading import upgrade
from sinkside.archive.workspace import Workspace, create_workspace, read_workspace

__all__ = [
    "ChainHead",
    "CheckReport",
    "Manifest",
    "Moved",
    "MovedTable",
    "Problem",
    "UnitOfWork",
    "Workspace",
    "WorkspaceArchive",
    "backup",
    "check",
    "check_archive",
    "create_workspace",
    "held_alone",
    "move",
    "open_archive",
    "read_workspace",
    "restore",
    "upgrade",
]
