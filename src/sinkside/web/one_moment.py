"""One moment of the archive for one request, so that everything on a page is of the same state."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass, replace

from sinkside.desk.ports import Archive, Unit
from sinkside.web.asked import Asked
from sinkside.web.context import Context


@dataclass(frozen=True)
class OneMoment:
    """An archive of which everything that is read is read in one transaction; writing has one of its own."""

    archive: Archive
    held: Unit

    def unit(self, *, writes: bool = True) -> AbstractContextManager[Unit]:
        """The transaction that is held for reading; another one for writing."""
        return self.archive.unit() if writes else nullcontext(self.held)


@contextmanager
def one_moment(context: Context) -> Iterator[Context]:
    """A context whose archive stands still while the block lasts; one thread may use it."""
    with context.archive.unit(writes=False) as held:
        yield replace(context, archive=OneMoment(context.archive, held))


@contextmanager
def asked_at_one_moment(asked: Asked) -> Iterator[Asked]:
    """What was asked, with an archive that stands still while the block lasts."""
    with one_moment(asked.context) as context:
        yield replace(asked, context=context)
