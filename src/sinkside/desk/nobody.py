"""Who acts at the command line: nobody is signed in there, and the record book says so."""

from __future__ import annotations

from typing import Final

from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit
from sinkside.errors import BadInput

#: Whoever has the workspace's folder needs no account; the book names none.
_NOBODY: Final = "system"


def nobody_in(unit: Unit, department: str, *rights: str) -> Visitor:
    """Whoever has the workspace's folder, in a department, with some rights.

    Args:
        unit: the transaction.
        department: its id; needed where the workspace has several.
        rights: what they may.

    Raises:
        BadInput: if there is no such department, or several and none is named.
    """
    known = unit.sites.all()
    wanted = [one for one in known if department in {"", one.id}]
    if len(wanted) != 1:
        ids = ", ".join(one.id for one in known) or "none yet"
        raise BadInput(f"expected one of the departments here: {ids}", resource="department")
    return Visitor(_NOBODY, wanted[0].id, wanted[0].zone, rights=frozenset(rights))
