"""The departments, each with the start of its chain."""

from __future__ import annotations

from sqlalchemy import bindparam, insert, select, update

from sinkside.archive.connection import Transaction
from sinkside.archive.schema import heads, sites
from sinkside.errors import Conflict
from sinkside.journal import head_of
from sinkside.records import Site

_SITE = select(sites).where(sites.c.id == bindparam("wanted"))
_SITES = select(sites)


class SiteTable:
    """The departments."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def add(self, site: Site) -> None:
        """Add a department, with the start of its chain.

        Raises:
            Conflict: if there is one of that id.
        """
        try:
            self._do.change(insert(sites).values(id=site.id, name=site.name, zone=site.zone))
        except Conflict as error:
            raise Conflict("there is already a department of this id", resource=site.id) from error
        start = head_of(None)
        self._do.change(
            insert(heads).values(department=site.id, sequence=start.sequence, digest=start.digest)
        )

    def rename(self, department: str, name: str) -> None:
        """Call a department otherwise; its id stays."""
        self._do.change(update(sites).where(sites.c.id == department).values(name=name))

    def get(self, department: str) -> Site | None:
        """A department by its id."""
        found = self._do.first(_SITE, wanted=department)
        return Site(**found) if found else None

    def all(self) -> list[Site]:
        """Every department, by name."""
        found = (Site(**row) for row in self._do.all(_SITES))
        return sorted(found, key=lambda site: (site.name.casefold(), site.id))
