"""Cases: operations by number, which sets they need, and which copies they got."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from sqlalchemy import bindparam, delete, select

from sinkside.archive.connection import Transaction
from sinkside.archive.schema_bench import case_sets, cases
from sinkside.records import CaseSet, KeptCase

_ONE: Final = select(cases).where(cases.c.id == bindparam("wanted"))
_BY_NUMBER: Final = select(cases).where(
    cases.c.department == bindparam("here"), cases.c.number == bindparam("wanted")
)
_BETWEEN: Final = (
    select(cases)
    .where(
        cases.c.department == bindparam("here"),
        cases.c.begins >= bindparam("since"),
        cases.c.begins < bindparam("before"),
    )
    .order_by(cases.c.begins, cases.c.number)
)
_SETS: Final = (
    select(case_sets)
    .where(case_sets.c.case.in_(bindparam("of", expanding=True)))
    .order_by(case_sets.c.case, case_sets.c.set, case_sets.c.turn)
)
_OF_COPY: Final = (
    select(case_sets).where(case_sets.c.copy == bindparam("of")).order_by(case_sets.c.case, case_sets.c.turn)
)


class CaseTable:
    """Operations, by number."""

    def __init__(self, transaction: Transaction) -> None:
        self._do = transaction

    def put(self, case: KeptCase) -> None:
        """Add a case, or change it.

        Raises:
            Conflict: if another case here has its number.
        """
        self._do.put(cases, vars(case), key=("id",))

    def get(self, case: str) -> KeptCase | None:
        """A case."""
        found = self._do.first(_ONE, wanted=case)
        return KeptCase(**found) if found else None

    def by_number(self, department: str, number: str) -> KeptCase | None:
        """The case of a number."""
        found = self._do.first(_BY_NUMBER, here=department, wanted=number)
        return KeptCase(**found) if found else None

    def between(self, department: str, since: datetime, before: datetime) -> list[KeptCase]:
        """Cases that begin from a moment on and before another, in their order."""
        found = self._do.all(_BETWEEN, here=department, since=since, before=before)
        return [KeptCase(**row) for row in found]

    def put_set(self, wanted: CaseSet) -> None:
        """Say that a case needs a set, or which copy it got."""
        self._do.put(case_sets, vars(wanted), key=("case", "set", "turn"))

    def strike_sets(self, case: str) -> None:
        """Forget which sets a case needs; what it got already stays."""
        self._do.change(delete(case_sets).where(case_sets.c.case == case, case_sets.c.copy == ""))

    def sets_of(self, *of_cases: str) -> list[CaseSet]:
        """Which sets some cases need, case by case."""
        return [CaseSet(**row) for row in self._do.all(_SETS, of=tuple(sorted(of_cases)))]

    def of_copy(self, copy: str) -> list[CaseSet]:
        """The cases that a copy was for."""
        return [CaseSet(**row) for row in self._do.all(_OF_COPY, of=copy)]
