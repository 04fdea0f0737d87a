"""The archive: where everything is kept, on SQLite or PostgreSQL and in a folder of files. The only SQL."""

from sinkside.archive.archive import UnitOfWork, WorkspaceArchive, open_archive
from sinkside.archive.workspace import Workspace, create_workspace, read_workspace

__all__ = [
    "UnitOfWork",
    "Workspace",
    "WorkspaceArchive",
    "create_workspace",
    "open_archive",
    "read_workspace",
]
