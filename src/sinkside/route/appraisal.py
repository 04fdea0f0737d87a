"""What comes of holding the department's things against a need: candidates, and refusals with reasons."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from sinkside.department import Edit, Packaging
from sinkside.findings import Measure, Wording
from sinkside.route.document import Binding, ChosenFigure, ResourceKind
from sinkside.route.phrases import Phrase, Together, Words


@dataclass(frozen=True, slots=True)
class Remark:
    """A concern or note that a choice brings with it."""

    wording: Wording
    evidence: Mapping[str, Measure | int | str]


@dataclass(frozen=True, slots=True)
class Candidate:
    """Something that satisfies a need: what to bind, which figures it uses, and what it costs.

    Attributes:
        bindings: The things of the department.
        why: One clause for the operation's sentence.
        uses: Figures of the instruction with the figure that will be used.
        remarks: Concerns and notes.
        machine_s: Time in a machine, in s.
        excess: How much better than needed it is; the plainest thing that does is taken.
        sterilizes: Whether it is a sterilizing cycle.
        packs: The packaging itself, so that it can be held against cycles; None for everything else.
    """

    bindings: tuple[Binding, ...]
    why: Words
    uses: tuple[ChosenFigure, ...] = ()
    remarks: tuple[Remark, ...] = ()
    machine_s: float = 0.0
    excess: float = 0.0
    sterilizes: bool = False
    packs: Packaging | None = None


@dataclass(frozen=True, slots=True)
class Repair:
    """What would turn a refusal, how large a change that is (see `sizes`), and the change itself if known.

    The change is made only when somebody asks for it: most refusals are never opened.
    """

    words: Words
    size: int
    edit: Callable[[], Edit | None] | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Something that does not satisfy a need, why not, and what would change that."""

    id: str
    name: str
    faults: tuple[Words, ...]
    repair: Repair | None = None

    @property
    def reason(self) -> Phrase:
        """One sentence."""
        return Phrase("{name}: {faults}.", {"name": self.name, "faults": Together(self.faults)})


@dataclass(slots=True)
class Appraisal:
    """Everything of the department that a need could be held against, and what would do if nothing does."""

    candidates: list[Candidate] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)
    purchase: Repair | None = None

    def repairs(self) -> list[Repair]:
        """What would satisfy the need, smallest change first."""
        found = [refusal.repair for refusal in self.refusals if refusal.repair]
        if self.purchase:
            found.append(self.purchase)
        return sorted(found, key=lambda repair: repair.size)

    def nearest(self, most: int) -> list[Refusal]:
        """The refusals with the fewest faults, of those that a change would turn first."""
        return sorted(
            self.refusals,
            key=lambda refusal: (refusal.repair.size if refusal.repair else 1_000, len(refusal.faults)),
        )[:most]


def bound(kind: ResourceKind, thing_id: str, name: str, program: str | None = None) -> Binding:
    """A binding, made without checking again what the department has checked."""
    return Binding(kind=kind, id=thing_id, name=name, program=program)
