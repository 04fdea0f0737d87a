"""The water that may be left in a set (`sinkside/moisture-1`), as pages, papers and programs show it."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from sinkside.documents import Value
from sinkside.findings import Finding
from sinkside.moisture.tables import Assumption, Formula, Material
from sinkside.moisture.things import Lie, Shape
from sinkside.sources import Source

#: What every answer says of itself, whatever it found.
STANDS = (
    "The drying time that the makers state and the machine was validated for stands; this estimate never "
    "shortens it. Whatever it says, a pack with visible moisture is processed again."
)

#: What happens in a chamber and is not reckoned with.
NOT_IN_THE_MODEL = (
    "Pulses of steam before exposure: one heating is reckoned with; what pulses add or boil off is not.",
    "Steam let in while drying: it wets the set again, and no figure is given for it.",
    "Wet steam, air in the steam, and water that was in or on the devices before.",
    "Water that drips from other packs, or from one thing into another.",
    "Warmth that one thing passes to another, and air drawn through the load.",
    "Water that forms when the pack cools on a cold surface.",
)


#: What helps wherever water may be left, and no figure is given for it.
SPREAD = "Spread the things out, nothing stacked or nested, so that water stands nowhere deep."


class Risk(StrEnum):
    """How a wet pack stands after an estimate; a word, never a percentage."""

    unlikely = "unlikely"
    possible = "possible"
    likely = "likely"


class Grams(Value):
    """Grams of water from the drier to the wetter end of what is assumed, and the formula by its key."""

    low: float
    high: float
    formula: str
    unit: Literal["g"] = "g"


class SourceShown(Value):
    """Where something was published, and how it was read."""

    title: str
    edition: str = ""
    clause: str = ""
    how_read: str

    @classmethod
    def of(cls, source: Source) -> SourceShown:
        """A source of the bibliography as an answer shows it."""
        return cls(
            title=source.title,
            edition=source.edition,
            clause=source.clause,
            how_read=source.how_read_phrase,
        )


class Place(Value):
    """A thing, or the floor of the packaging: its water, and what the estimate took it for.

    Attributes:
        name: what people call it.
        kg: what it weighs, all pieces together.
        materials: what it may be made of, by title.
        shape: what it is like; none for the packaging.
        lies: how it lies; none for the packaging.
        condensed: what condenses on it.
        passed: what runs off it: to the floor, or from the floor out of the packaging.
        left: what is left there after drying.
    """

    name: str
    kg: float
    materials: tuple[str, ...]
    shape: Shape | None = None
    lies: Lie | None = None
    condensed: Grams
    passed: Grams
    left: Grams


class Help(Value):
    """What would leave less: one sentence, and what the whole pack then holds, where that can be reckoned."""

    sentence: str
    left: Grams | None = None


class LimitSeen(Value):
    """A published limit of a set's mass, whether it is in force here, and whether the set keeps it.

    `met` is unknown where the set has no mass; `reason` is the department's, where the figure is its own.
    """

    id: str
    text: str
    context: str
    source: SourceShown
    in_force: bool
    met: bool | None = None
    reason: str = ""


class MassSeen(Value):
    """What the set weighs with its packaging: on the scale, else as a sum; and the published limits."""

    kg: float | None = None
    weighed: bool = False
    limits: tuple[LimitSeen, ...] = ()

    @property
    def kept(self) -> bool:
        """Whether no limit in force is known to be passed."""
        return not any(limit.in_force and limit.met is False for limit in self.limits)


class DrynessSeen(Value):
    """The published gain of mass of a metal load, in grams for this pack, and how the estimate stands to it.

    `stands` is kept where the wetter end is within it too, passed where not even the drier end is, else open.
    """

    id: str
    text: str
    context: str
    source: SourceShown
    grams: float
    stands: Literal["kept", "open", "passed"]


class FormulaShown(Value):
    """A formula that figures carry the key of."""

    key: str
    title: str
    says: str
    range: str
    source: SourceShown

    @classmethod
    def of(cls, formula: Formula) -> FormulaShown:
        """A formula of the table as an answer shows it."""
        return cls(
            key=formula.key,
            title=formula.title,
            says=formula.says,
            range=formula.range,
            source=SourceShown.of(formula.source),
        )


class AssumptionShown(Value):
    """An assumption that the answer hangs on; `reason` is the department's where the ends are its own."""

    key: str
    low: float
    high: float
    unit: str
    context: str
    source: SourceShown
    reason: str = ""

    @classmethod
    def of(cls, assumed: Assumption) -> AssumptionShown:
        """An assumption of the table as an answer shows it."""
        return cls(
            key=assumed.key,
            low=assumed.low,
            high=assumed.high,
            unit=assumed.unit,
            context=assumed.context,
            source=SourceShown.of(assumed.source),
            reason=assumed.reason,
        )


class MaterialShown(Value):
    """A material's figures and where they come from."""

    title: str
    heat_j_kgk: float
    conductivity_w_mk: float
    source: SourceShown

    @classmethod
    def of(cls, material: Material) -> MaterialShown:
        """A material of the table as an answer shows it."""
        return cls(
            title=material.title,
            heat_j_kgk=material.heat_j_kgk,
            conductivity_w_mk=material.conductivity_w_mk,
            source=SourceShown.of(material.source),
        )


class CycleShown(Value):
    """The cycle that the answer is for, and when water boils in its drying."""

    machine: str
    program: str
    exposure_c: float
    drying_min: float
    drying_kpa: float
    drying_c: float


class Moisture(Value):
    """The water that may be left in a set after a cycle.

    Attributes:
        set: the set's name.
        department: where it is processed.
        profile: whose published limits are in force.
        cycle: the cycle; none where there is no estimate.
        told: whether there is an estimate.
        not_told: why not, one sentence each.
        risk: how a wet pack stands; none without an estimate.
        pack: what is left in the whole pack; none without an estimate.
        condensed: what condenses in all.
        places: every thing, then the floor of the packaging.
        driver: the place that may hold the most, in a sentence.
        helps: what would leave less, the best first.
        dryness: what may be left, against the published gain of mass of a metal load.
        mass: what the set weighs, against the published limits.
        findings: the judgements.
        assumptions: what the answer hangs on.
        materials: the materials that it reckons with.
        formulas: the formulas, by the key that figures carry.
        not_in_the_model: what is not reckoned with.
        stands: that the stated drying time stands.
        shortens_a_stated_time: no answer ever does.
    """

    format: Literal["sinkside/moisture-1"] = "sinkside/moisture-1"
    set: str
    department: str
    profile: str
    cycle: CycleShown | None = None
    told: bool
    not_told: tuple[str, ...] = ()
    risk: Risk | None = None
    pack: Grams | None = None
    condensed: Grams | None = None
    places: tuple[Place, ...] = ()
    driver: str = ""
    helps: tuple[Help, ...] = ()
    dryness: DrynessSeen | None = None
    mass: MassSeen
    findings: tuple[Finding, ...] = ()
    assumptions: tuple[AssumptionShown, ...] = ()
    materials: tuple[MaterialShown, ...] = ()
    formulas: tuple[FormulaShown, ...] = ()
    not_in_the_model: tuple[str, ...] = NOT_IN_THE_MODEL
    stands: str = STANDS
    shortens_a_stated_time: Literal[False] = False
