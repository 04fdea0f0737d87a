"""The units in which figures are published: those of Sinkside, some of them with a word behind."""

from __future__ import annotations

from sinkside.errors import BadQuantity
from sinkside.quantities.units import canonical_unit

_PRESSURE_REFERENCES = {"abs": "absolute", "gauge": "gauge"}

#: Words that say what is measured and leave the unit what it is.
_QUALIFIERS = {*_PRESSURE_REFERENCES, "RH", "CaCO3"}


def base_unit(published: str) -> str:
    """The unit without the word behind it, in Sinkside's spelling.

    Raises:
        BadQuantity: if it is no unit that Sinkside can convert; such figures compare in their own unit only.

    >>> base_unit("kPa abs"), base_unit("months"), base_unit("mg/L CaCO3")
    ('kPa', 'month', 'mg/L')
    """
    unit, _, qualifier = published.partition(" ")
    try:
        return canonical_unit(unit if qualifier in _QUALIFIERS else published)
    except BadQuantity as error:
        raise BadQuantity(
            f"a figure in '{published}' can be given in that unit only", resource=published
        ) from error


def pressure_reference(published: str) -> str | None:
    """Whether the unit says that a pressure is absolute or above the atmosphere.

    >>> pressure_reference("psi gauge"), pressure_reference("mbar")
    ('gauge', None)
    """
    return _PRESSURE_REFERENCES.get(published.partition(" ")[2])
