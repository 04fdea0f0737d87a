"""Who asks, where, and when: everything that a view is told beside what it was asked for."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from sinkside.desk.access import Visitor
from sinkside.desk.ports import Archive
from sinkside.desk.signing_in import Present
from sinkside.errors import NotAllowed
from sinkside.records import Site
from sinkside.settings import Settings
from sinkside.web.context import Context


@dataclass(frozen=True)
class FieldFault:
    """One fault of a form: the field, or none for the whole form, and the sentence."""

    field: str
    sentence: str


@dataclass(frozen=True)
class Problem:
    """What was wrong with a form, and what had been typed, so that nobody types it twice."""

    faults: tuple[FieldFault, ...] = ()
    typed: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def of(self, name: str) -> str:
        """The sentence of a field, or nothing."""
        return "; ".join(fault.sentence for fault in self.faults if fault.field == name)


@dataclass(frozen=True)
class Asked:
    """One request as a view sees it.

    `present` is the person who is signed in, none before; `site` is the department that the address names,
    none elsewhere. `form_token` must stand in every form. `token` is the session's, open or idle.
    `address` is where people reach the house, for links.
    """

    context: Context
    now: datetime
    request_id: str
    form_token: str
    path: str
    sender: str
    address: str
    present: Present | None = None
    token: str = ""
    site: Site | None = None
    look: str = "auto"
    said: str = ""
    problem: Problem = Problem()

    @property
    def archive(self) -> Archive:
        """Where everything is kept."""
        return self.context.archive

    @property
    def settings(self) -> Settings:
        """How it is served."""
        return self.context.settings

    @property
    def someone(self) -> Present:
        """The person who is signed in.

        Raises:
            NotAllowed: if nobody is.
        """
        if self.present is None:
            raise NotAllowed("sign in first")
        return self.present

    @property
    def visitor(self) -> Visitor:
        """The person at work in the department that the address names; what the desk's verbs ask for."""
        return self.someone.visitor

    def at(self, path: str = "") -> str:
        """An address within the department: `asked.at("/people")`."""
        return f"/at/{self.visitor.department}{path}"
