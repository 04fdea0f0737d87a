"""What an estimate leans on, read from its tables: materials, assumptions, and the formulas by name."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from sinkside.errors import BadInput
from sinkside.science.heat import Mass
from sinkside.sources import Source, source

#: Titanium alloys conduct the least of the metals, glass the best of what holds heat back; between the two.
_CONDUCTS_W_MK = 4.0

#: A coating weighs next to nothing beside what it covers.
_NO_MASS = re.compile(r"coat(?:ing|ed)|plat(?:ing|ed)|anodi[sz]ed|lacquer", re.IGNORECASE)


@dataclass(frozen=True)
class Material:
    """What a material takes up when it is heated, and how quickly it gives it back."""

    key: str
    title: str
    heat_j_kgk: float
    conductivity_w_mk: float
    density_kg_m3: float
    words: tuple[str, ...]
    source: Source

    @property
    def conducts(self) -> bool:
        """Whether heat travels along it to where water stands, as in metals."""
        return self.conductivity_w_mk >= _CONDUCTS_W_MK

    @property
    def diffusivity_m2_s(self) -> float:
        """Thermal diffusivity k/(ρ·c)."""
        return self.conductivity_w_mk / (self.density_kg_m3 * self.heat_j_kgk)

    def mass(self, kg: float) -> Mass:
        """So much of it, as heat balances count it."""
        return Mass(kg, self.heat_j_kgk)


@dataclass(frozen=True)
class Assumption:
    """A figure that nobody published for this, with a low and a high end."""

    key: str
    low: float
    high: float
    unit: str
    context: str
    source: Source
    reason: str = ""


@dataclass(frozen=True)
class Formula:
    """A formula by its name: what it says, who published it, and where it holds."""

    key: str
    title: str
    says: str
    range: str
    source: Source


@functools.cache
def materials() -> Mapping[str, Material]:
    """The materials that an estimate knows, by key.

    >>> materials()["aluminium"].heat_j_kgk
    900.0
    """
    return {
        key: Material(
            key=key,
            title=row["title"],
            heat_j_kgk=float(row["heat"]),
            conductivity_w_mk=float(row["conductivity"]),
            density_kg_m3=float(row["density"]),
            words=tuple(row["words"]),
            source=_source_of(row),
        )
        for key, row in _table("materials").items()
    }


@functools.cache
def assumptions() -> Mapping[str, Assumption]:
    """What an estimate assumes, by key: common practice without a source, all of it.

    >>> assumptions()["stays-tube-level"].high
    0.6
    """
    practice = source("trade-practice").at("", how_read="common-practice")
    return {
        key: Assumption(key, float(row["low"]), float(row["high"]), row["unit"], row["context"], practice)
        for key, row in _table("assumptions").items()
    }


@functools.cache
def formulas() -> Mapping[str, Formula]:
    """The formulas that figures of an estimate come from, by key.

    >>> formulas()["flash"].says
    'x = (h_f1 − h_f2) / h_fg2'
    """
    return {
        key: Formula(key, row["title"], row["says"], row["range"], _source_of(row))
        for key, row in _table("formulas").items()
    }


def material(key: str) -> Material:
    """A material by its key, or by what a maker calls it.

    Raises:
        BadInput: if it is none that an estimate knows.

    >>> material("Stainless steel 1.4021").key, material("titanium").key
    ('martensitic-steel', 'titanium')
    """
    known = materials().get(key) or _called(key)
    if known is None:
        raise BadInput(
            f"'{key}' is no material that the estimate knows; expected one of {', '.join(materials())}",
            resource=key,
        )
    return known


def materials_said(texts: tuple[str, ...]) -> tuple[Material, ...]:
    """The materials that a maker's words name; coatings are left out beside what they cover.

    >>> [one.key for one in materials_said(("stainless steel", "PFA coating"))]
    ['stainless-steel']
    """
    bulk = tuple(text for text in texts if not _NO_MASS.search(text)) or texts
    found = [known for text in bulk if (known := _called(text)) is not None]
    return tuple(dict.fromkeys(found))


@functools.lru_cache(maxsize=4096)
def _called(text: str) -> Material | None:
    words = text.casefold()
    return next(
        (
            one
            for one in materials().values()
            if any(re.search(rf"(?<![\w.]){re.escape(word)}(?![\w.])", words) for word in one.words)
        ),
        None,
    )


def _source_of(row: Mapping[str, Any]) -> Source:
    return source(row["source"]).at(row.get("clause", ""), how_read=row["how_read"])


def _table(name: str) -> Mapping[str, Any]:
    text = resources.files("sinkside.moisture").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
