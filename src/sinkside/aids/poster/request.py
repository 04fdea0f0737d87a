"""What a poster is made from."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.errors import NotForTheFloor
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.route import Route


@dataclass(frozen=True)
class Approval:
    """Who approved the instruction's revision for the floor, and on which day."""

    by: str
    on: str


@dataclass(frozen=True)
class PosterRequest:
    """One poster: an instruction, its route in a department, and what is known to be wrong with both.

    Args:
        instruction: the text as data.
        route: the text resolved in a department; none gives a proof of the text alone.
        findings: what the review found; the route brings its own.
        printed: the day of printing, ISO 8601.
        digest: the digest of the instruction, where the route does not carry it.
        live_url: where the living page is served; none without a server.
        approval: who approved it; none marks the paper a draft.
        proof: print it in spite of open stops, loudly marked.
        language: the reader's language.
    """

    instruction: Instruction
    printed: str
    route: Route | None = None
    findings: tuple[Finding, ...] = ()
    digest: str = ""
    live_url: str | None = None
    approval: Approval | None = None
    proof: bool = False
    language: str = "en"

    @property
    def open_stops(self) -> tuple[Finding, ...]:
        """What keeps the paper off the floor: one finding for each place that must be answered."""
        own = (*self.route.conflicts, *self.route.findings) if self.route else ()
        stops = [finding for finding in (*self.findings, *own) if finding.level is Level.stop]
        # Review and route may both stop at the same words; people count what is to be answered.
        places = [(stop.place.text or stop.message) for stop in stops]
        return tuple(stop for index, stop in enumerate(stops) if places[index] not in places[:index])

    @property
    def is_resolved(self) -> bool:
        """Whether the department can do what the text asks."""
        return self.route is not None and self.route.resolved

    def refuse_unless_fit(self) -> None:
        """Refuse a poster for the floor that has open stops or no route.

        Raises:
            NotForTheFloor: unless a proof was asked for.
        """
        if self.proof:
            return
        name = self.instruction.device.name
        if self.open_stops:
            count = len(self.open_stops)
            noun = "stop is" if count == 1 else "stops are"
            raise NotForTheFloor(f"{count} {noun} open; ask for a proof to see it", resource=name)
        if not self.is_resolved:
            raise NotForTheFloor(
                "the department has no route for it; ask for a proof to see it", resource=name
            )
