"""Rights: what the policy gives, and what it never gives."""

from __future__ import annotations

from datetime import timedelta

import pytest

from sinkside.desk import access, accounts
from sinkside.errors import BadInput, NotAllowed, NotThere
from support.desk_house import SITE, House

READS_ONLY = ("auditor", "assessor", "theatre")
CHANGES = {
    "instruction-upload",
    "instruction-edit",
    "finding-answer",
    "revision-approve",
    "cycle-upload",
    "cycle-decide",
    "department-edit",
    "people-manage",
}


@pytest.mark.parametrize("role", READS_ONLY)
def test_who_reads_changes_nothing(role: str) -> None:
    """Auditor, assessor and theatre have no right that changes anything."""
    given = {right for right, has in access.rights_table()[role].items() if has}
    assert given
    assert not given & CHANGES


def test_an_external_representative_may_upload_only() -> None:
    """The one right of an external representative is to hand in a document."""
    given = {right for right, has in access.rights_table()["external-representative"].items() if has}
    assert given == {"instruction-upload"}


def test_every_right_is_held_by_some_role() -> None:
    """No right is described that nobody has."""
    table = access.rights_table()
    assert all(any(rights[right] for rights in table.values()) for right in access.policy().rights)


def test_a_role_that_ended_gives_nothing(house: House) -> None:
    """At the moment when a role ends, its rights are gone."""
    until = house.now + timedelta(days=1)
    accounts.grant_role(
        house.archive, house.visitor("ada"), house.people["tom"], role="lead", now=house.now, until=until
    )
    assert house.visitor("tom").may("cycle-decide")
    house.now = until
    assert not house.visitor("tom").may("cycle-decide")


def test_a_department_without_a_role_is_not_there(house: House) -> None:
    """Whoever has no role in a department hears the same as if there were none."""
    said = []
    for department in ("south", "nowhere"):
        with pytest.raises(NotThere) as refused:
            house.visitor("tom", department)
        said.append(refused.value.message)
    assert said[0] == said[1]


def test_require_names_what_is_refused(house: House) -> None:
    """A refusal says which act the role does not allow; an unknown right is a fault of the caller."""
    tom = house.visitor("tom")
    access.require(tom, "cycle-upload", department=SITE.id)
    with pytest.raises(NotAllowed, match="hold or release"):
        access.require(tom, "cycle-decide")
    with pytest.raises(NotThere):
        access.require(tom, "cycle-upload", department="south")
    with pytest.raises(BadInput, match="no right"):
        access.require(tom, "fly")


def test_a_shared_tablet_withholds_the_heavy_rights(house: House) -> None:
    """On a shared tablet nobody manages people or takes the record book out."""
    with house.archive.unit(writes=False) as unit:
        ada = access.visitor_in(unit, house.people["ada"], SITE.id, house.now, shared_tablet=True)
    assert not ada.may("people-manage")
    assert not ada.may("record-export")
    assert ada.may("cycle-decide")
