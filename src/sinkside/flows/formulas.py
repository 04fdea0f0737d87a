"""By what formula a number was computed, from where it is, and what it covers: shown beside every number."""

from __future__ import annotations

from enum import StrEnum

from sinkside.documents import Value


class Formula(StrEnum):
    """What a number of this room was computed by."""

    volume = "volume"
    exchanges = "exchanges"
    washout = "washout"
    speed = "speed"
    reynolds = "reynolds"
    friction = "friction"
    shear = "shear"
    plunger = "plunger"
    shares = "shares"
    air = "air"
    drying = "drying"


class FormulaNotes(Value):
    """A formula in words: its name, where it is from, and what it covers."""

    name: str
    source: str
    covers: str

    @classmethod
    def of(cls, name: str, source: str, covers: str) -> FormulaNotes:
        """The three in their order."""
        return cls(name=name, source=source, covers=covers)


NOTES: dict[Formula, FormulaNotes] = {
    Formula.volume: FormulaNotes.of(
        "Length times the area between bore and rod", "plain geometry", "a round bore of one width"
    ),
    Formula.exchanges: FormulaNotes.of(
        "Flushed volume over the volume that the lumen holds",
        "plain arithmetic",
        "no promise that all of the lumen was reached",
    ),
    Formula.washout: FormulaNotes.of(
        "Residence times of laminar flow: 1/(4 θ) of the lumen holds what was there before",
        "Danckwerts, Chem. Eng. Sci. 2 (1953) 1; Levenspiel, Chemical Reaction Engineering, ch. 15 (from"
        " memory)",
        "laminar flow in a round bore without mixing, which would only help; soil that sticks is not in it",
    ),
    Formula.speed: FormulaNotes.of(
        "Volume per second over the area between bore and rod", "plain arithmetic", "a bore that is full"
    ),
    Formula.reynolds: FormulaNotes.of(
        "Density × speed × gap / viscosity; laminar below 2,300, turbulent from 4,000",
        "textbook convention (common practice); water: Kell 1975 and IAPWS SR6-08",
        "clean water; detergent is taken as water",
    ),
    Formula.friction: FormulaNotes.of(
        "Hagen-Poiseuille in laminar flow, Colebrook in turbulent; around a rod Piercy and Jones-Leung",
        "Bird, Stewart, Lightfoot §2.3-2.4; Colebrook 1939; Piercy 1933 in White 3-51; Jones and Leung 1981"
        " (from memory, checked against the package fluids and a numerical solution)",
        "steady flow in a straight, smooth, full bore; connectors, bends and entrance would add to it",
    ),
    Formula.shear: FormulaNotes.of(
        "Pressure × gap / (4 × length): the pull of the water on the wall",
        "balance of forces, exact; example: Subramanya 7.6",
        "to compare one flush with another: no published limit for cleaning a lumen is known here",
    ),
    Formula.plunger: FormulaNotes.of(
        "Pressure × area of the barrel", "balance of forces, exact", "the plunger's own friction comes on top"
    ),
    Formula.shares: FormulaNotes.of(
        "Channels that begin at one place: the same pressure along each",
        "Todini and Pilati 1988, the gradient method for pipe networks",
        "all ways out open and at the same height",
    ),
    Formula.air: FormulaNotes.of(
        "Flow of an ideal gas at one temperature with friction, no more than at the greatest",
        "Crane TP-410, equation 1-6; checked against the package fluids",
        "a straight, smooth bore without water in it",
    ),
    Formula.drying: FormulaNotes.of(
        "Water of an even film over what the air takes up at its wet bulb",
        "ASHRAE Handbook Fundamentals 2017, ch. 1; Gilliland and Sherwood 1934 (from memory)",
        "an even film; drops in threads, branches and dead ends take longer, without a known bound",
    ),
}


class Computed(Value):
    """A number with what it is, its lowest and highest value, its unit, and the formula behind it."""

    what: str
    low: float
    high: float
    unit: str
    formula: Formula

    @classmethod
    def of(cls, what: str, ends: tuple[float, float], unit: str, formula: Formula) -> Computed:
        """A number between two ends, in either order."""
        return cls(what=what, low=min(ends), high=max(ends), unit=unit, formula=formula)

    @property
    def is_one(self) -> bool:
        """Whether lowest and highest are the same number, to a thousandth."""
        return self.high - self.low <= 1e-3 * abs(self.high)
