"""What a paper is made from."""

from __future__ import annotations

from dataclasses import dataclass, field

from sinkside.aids.papers.kinds import NAMES, SHEETS, SIZES, Kind, Sheet, Size
from sinkside.aids.papers.refusals import refuse_open_stops
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.language.catalogue import REFERENCE_LANGUAGE
from sinkside.plain import Glossary, Habits, Units
from sinkside.route import Route, Station


@dataclass(frozen=True)
class Approval:
    """Who approved the instruction's revision for the floor, and on which day."""

    by: str
    on: str


@dataclass(frozen=True)
class NoteBeside:
    """What the department noted beside a step; `is_old` where the step was changed since."""

    step: str
    text: str
    is_old: bool = False


@dataclass(frozen=True)
class PaperRequest:
    """One paper: an instruction, its route in a department, and what is known to be wrong with both.

    Args:
        instruction: the text as data.
        printed: the day of printing, ISO 8601.
        kind: which paper.
        route: the text resolved in a department; none gives a proof of the text alone.
        findings: what the review found; the route brings its own.
        digest: the digest of the instruction, where the route does not carry it.
        live_url: where the living page is served; none without a server.
        approval: who approved it; none marks the paper a draft.
        proof: print it in spite of open stops, loudly marked.
        languages: the reader's, and the one that stands beside any other than itself; English unless told.
        units: the units that people here read; the maker's own unless told.
        glossary: the department's own names for things.
        reviewed: digests of the templates that somebody in the house has reviewed, in other languages.
        size: of the sheet; the kind's first size unless told.
        station: where a card hangs.
        notes: what the department noted beside steps, for a lesson.
    """

    instruction: Instruction
    printed: str
    kind: Kind = Kind.poster
    route: Route | None = None
    findings: tuple[Finding, ...] = ()
    digest: str = ""
    live_url: str | None = None
    approval: Approval | None = None
    proof: bool = False
    languages: tuple[str, ...] = (REFERENCE_LANGUAGE,)
    units: Units = field(default_factory=Units)
    glossary: Glossary = field(default_factory=Glossary)
    reviewed: frozenset[str] = frozenset()
    size: Size | None = None
    station: Station | None = None
    notes: tuple[NoteBeside, ...] = ()

    @property
    def language(self) -> str:
        """The reader's language."""
        return self.languages[0]

    @property
    def habits(self) -> Habits:
        """How the reader reads."""
        reference = (*self.languages, REFERENCE_LANGUAGE)[1]
        return Habits(language=self.language, units=self.units, glossary=self.glossary, reference=reference)

    @property
    def paper(self) -> Size:
        """The size of the sheet."""
        return self.size or SIZES[self.kind][0]

    @property
    def sheet(self) -> Sheet:
        """The sheet that it is printed on."""
        return SHEETS[self.paper]

    @property
    def department(self) -> str:
        """The department whose route it shows; nothing without a route."""
        return self.route.department if self.route else ""

    @property
    def text_stops(self) -> tuple[Finding, ...]:
        """The stops of the maker's text: they hold in every department."""
        return tuple(finding for finding in self.findings if finding.level is Level.stop)

    @property
    def department_stops(self) -> tuple[Finding, ...]:
        """The stops of this department: what it has not got, or not so."""
        return self.route.stops if self.route else ()

    @property
    def open_stops(self) -> tuple[Finding, ...]:
        """What keeps the paper off the floor, each finding counted once, as review and route count them."""
        return (*self.text_stops, *self.department_stops)

    @property
    def is_resolved(self) -> bool:
        """Whether the department can do what the text asks."""
        return self.route is not None and self.route.resolved

    def refuse_unless_fit(self) -> None:
        """Refuse a paper that cannot be, and one for the floor that has open stops or no route.

        Raises:
            BadInput: if the sheet is none that this paper comes on, or a card names no station.
            NotForTheFloor: for the floor, unless a proof was asked for.
        """
        self._refuse_what_cannot_be()
        if self.proof:
            return
        name = self.instruction.device.name
        refuse_open_stops(self.open_stops, self._where_stops_are(), resource=name)
        if not self.is_resolved:
            raise NotForTheFloor(
                "the department has no route for it; ask for a proof to see it", resource=name
            )

    def _refuse_what_cannot_be(self) -> None:
        name = NAMES[self.kind]
        if self.paper not in SIZES[self.kind]:
            known = ", ".join(SIZES[self.kind])
            raise BadInput(f"'{self.paper}' is no size of this paper; expected one of {known}", resource=name)
        if self.kind is Kind.card and self.station is None:
            known = ", ".join(Station)
            raise BadInput(f"no station is named; expected one of {known}", resource=name)

    def _where_stops_are(self) -> str:
        text, here = len(self.text_stops), len(self.department_stops)
        if text and here:
            return f": {text} in the maker’s text, {here} in this department"
        return f" in {'the maker’s text' if text else 'this department'}"
