"""Evidence files that name somebody who is erased: their bytes go, what is kept of them has no name."""

from __future__ import annotations

from typing import Final

from sinkside.desk.evidence.documents import EvidenceMade
from sinkside.desk.keeping import from_revision
from sinkside.desk.ports import Unit

KIND: Final = "evidence"

_MOST: Final = 100_000


def forget_naming(unit: Unit, person: str) -> None:
    """Keep no longer the bytes of evidence files in which somebody may be named, in any department.

    That they were made, by whom and with which digest stays: a file in somebody's hands can still be told
    from another one.
    """
    here = [site.id for site in unit.sites.all()]
    for row in unit.rows.all(KIND, here, text=person, limit=_MOST):
        for kept in unit.documents.revisions(KIND, row.id):
            unit.files.forget(from_revision(kept, EvidenceMade).file)
