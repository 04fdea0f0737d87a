"""How long packs are kept here: the department's word, by kind of packaging, with a reason that is kept."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sinkside.bench.shelf_life import MOST_DAYS, Keeps, StorePolicy
from sinkside.department import BARRIERS, Department, PackagingKind
from sinkside.desk.access import Visitor, record, require
from sinkside.desk.editing import reason_of
from sinkside.desk.keeping import keep_next, read_kept
from sinkside.desk.ports import Archive, Unit
from sinkside.errors import BadInput

POLICY: Final = "store-policy"


def policy_here(unit: Unit, department: str) -> StorePolicy:
    """What a department settled; only what happens ends a pack where it settled nothing."""
    return read_kept(unit, POLICY, department, StorePolicy) or StorePolicy()


def packaging_kind(site: Department | None, packaging: str) -> PackagingKind | None:
    """What kind of packaging the department's thing of an id is; none where it has no such thing."""
    known = {one.id: one.kind for one in site.packaging} if site else {}
    return known.get(packaging)


def keep_for(
    archive: Archive, who: Visitor, packaging: str, days: int | None, *, reason: str, now: datetime
) -> None:
    """Settle how many days packs of one kind are kept here; none where only what happens ends them.

    Raises:
        NotAllowed: without the right.
        BadInput: if it is no kind of packaging that keeps sterile, the days are none, or there is no reason.
    """
    require(who, "department-edit")
    words = reason_of(reason)
    kind = next((one for one in sorted(BARRIERS) if one == packaging), None)
    if kind is None:
        raise BadInput(f"expected one of {', '.join(sorted(BARRIERS))}", resource="packaging")
    if days is not None and not 1 <= days <= MOST_DAYS:
        raise BadInput(f"expected 1 to {MOST_DAYS} days, or none", resource="days")
    own = Keeps(packaging=kind, days=days, reason=words, by=who.person, at=now)
    with archive.unit() as unit:
        after = policy_here(unit, who.department).replacing(own)
        kept = keep_next(unit, POLICY, who.department, after, by=who.person, now=now)
        data = {"packaging": kind, "days": days, "digest": kept.digest}
        record(unit, who, "store-policy-changed", f"department:{who.department}", now=now, data=data)
