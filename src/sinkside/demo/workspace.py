"""The demo workspace: a folder made whole or not at all."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Protocol

from sinkside.errors import UnreadableFile

_MARK = ".sinkside-demo"


class Progress(Protocol):
    """Hears how far the demo has come."""

    def __call__(self, doing: str, done: int, total: int) -> None:
        """Stage `doing` has done `done` of `total` things."""


@dataclass(frozen=True)
class Workspace:
    """Where the demo keeps what it was given and what it made."""

    folder: Path

    @property
    def department(self) -> Path:
        """What the department has."""
        return self.folder / "department.yaml"

    @property
    def documents(self) -> list[Path]:
        """The makers' documents, in order of their names."""
        return sorted(
            path for path in (self.folder / "documents").iterdir() if path.suffix in {".pdf", ".txt"}
        )

    @property
    def on_file(self) -> list[Path]:
        """Instructions that the department had before."""
        return sorted((self.folder / "on-file").glob("*.yaml"))

    def program(self, name: str) -> Path:
        """A machine program's file."""
        return self.folder / "programs" / f"{name}.yaml"

    def made(self, kind: str, name: str) -> Path:
        """Where something that the demo makes belongs."""
        folder = self.folder / kind
        folder.mkdir(exist_ok=True)
        return folder / name


@contextmanager
def new_workspace(folder: Path) -> Iterator[Workspace]:
    """A fresh demo workspace, which takes its place only when everything in it was made.

    Raises:
        UnreadableFile: if the folder holds something that no demo made, or cannot be written.
    """
    if folder.exists() and not (folder / _MARK).exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UnreadableFile(
            "this is not empty and no demo made it; name another folder", resource=str(folder)
        )
    growing = folder.with_name(f".{folder.name}.{os.getpid()}.part")
    try:
        _fill(growing)
        yield Workspace(growing)
        if folder.exists():
            shutil.rmtree(folder)
        growing.replace(folder)
    except OSError as error:
        raise UnreadableFile(
            f"the demo cannot be made there ({error.strerror})", resource=str(folder)
        ) from error
    finally:
        shutil.rmtree(growing, ignore_errors=True)


def _fill(folder: Path) -> None:
    data = resources.files("sinkside.demo")
    with resources.as_file(data / "data") as given:
        shutil.copytree(given, folder)
    (folder / "instructions").rename(folder / "on-file")
    with resources.as_file(data / "documents") as documents:
        shutil.copytree(documents, folder / "documents")
    (folder / _MARK).write_text(
        "Made by `sinkside demo`; the next run replaces this folder.\n", encoding="utf-8"
    )
