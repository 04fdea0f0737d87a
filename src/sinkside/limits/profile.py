"""Limits profiles: whose figures a department works to, and what it has put in their place."""

from __future__ import annotations

import functools
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib import resources
from typing import Any, Self

from sinkside.errors import BadInput
from sinkside.limits.limit import Limit, LimitKind, Override, Relation
from sinkside.limits.tables import all_published, published, topics


@dataclass(frozen=True)
class Profile:
    """The figures in force for a department: those of its jurisdictions, with its own overrides.

    >>> site = profile("us").override("mass-set-limit-us", 9, reason="Two of us lift alone.")
    >>> site.limit("mass-set-limit-us").value, site.overrides[0].published
    ((9.0, 9.0), (11.34, 11.34))
    """

    name: str
    title: str
    jurisdictions: tuple[str, ...]
    overrides: tuple[Override, ...] = ()

    def limit(self, limit_id: str) -> Limit:
        """The limit in force under an id.

        Raises:
            BadInput: if there is none, if it holds elsewhere only, or if the figure is no limit.
        """
        figure = self.figure(limit_id)
        if figure.kind is not LimitKind.limit:
            raise BadInput(
                f"this figure is of kind '{figure.kind}', not a limit; see published()", resource=limit_id
            )
        return figure

    def figure(self, limit_id: str) -> Limit:
        """The figure of any kind in force under an id.

        Raises:
            BadInput: if there is none, or if it holds elsewhere only.
        """
        figure = published(limit_id)
        if figure.jurisdiction not in self.jurisdictions:
            raise BadInput(
                f"this figure holds in '{figure.jurisdiction}' and is not in force in profile '{self.name}' "
                f"({', '.join(self.jurisdictions)}); see published()",
                resource=limit_id,
            )
        return self._in_force(figure)

    def limits(self, *, topic: str | None = None, quantity: str | None = None) -> tuple[Limit, ...]:
        """The limits in force, own jurisdiction first; observations, examples and the like are left out.

        Raises:
            BadInput: if the topic is none of those that figures are published on.
        """
        return tuple(
            figure
            for figure in self.figures(topic=topic, quantity=quantity)
            if figure.kind is LimitKind.limit
        )

    def figures(self, *, topic: str | None = None, quantity: str | None = None) -> tuple[Limit, ...]:
        """The figures of every kind in force, own jurisdiction first.

        Raises:
            BadInput: if the topic is none of those that figures are published on.
        """
        if topic is not None and topic not in topics():
            raise BadInput(f"no figures are published on '{topic}'; expected one of {', '.join(topics())}")
        return tuple(
            self._in_force(figure)
            for jurisdiction in self.jurisdictions
            for figure in all_published().values()
            if figure.jurisdiction == jurisdiction
            and topic in {None, figure.topic}
            and quantity in {None, figure.quantity}
        )

    def override(self, limit_id: str, value: float | tuple[float, float], reason: str) -> Self:
        """The profile with a department's own figure in place of a limit, which remembers both and why.

        Args:
            limit_id: the limit's id.
            value: the new figure in the limit's own unit; both ends for a limit of kind "between".
            reason: why, in the department's words.

        Raises:
            BadInput: if there is no such limit in force, no reason, or a value that does not fit.
        """
        if not reason.strip():
            raise BadInput("an override needs a reason", resource=limit_id)
        limit = self.limit(limit_id)
        ends = _ends_of(value, limit)
        before = limit.override.published if limit.override else limit.value
        kept = tuple(override for override in self.overrides if override.id != limit_id)
        return replace(self, overrides=(*kept, Override(limit_id, before, ends, reason.strip())))

    def _in_force(self, figure: Limit) -> Limit:
        """The figure, or the department's own in its place."""
        for override in self.overrides:
            if override.id == figure.id:
                return replace(figure, value=override.value, override=override)
        return figure


def _ends_of(value: float | tuple[float, float], limit: Limit) -> tuple[float, float]:
    """Both ends of an override's value, checked against the limit that it replaces."""
    is_range = isinstance(value, tuple)
    if is_range != (limit.relation is Relation.between):
        expected = "two numbers, from and to" if limit.relation is Relation.between else "one number"
        raise BadInput(f"expected {expected} in {limit.unit}", resource=limit.id)
    low, high = value if isinstance(value, tuple) else (value, value)
    if not (math.isfinite(low) and math.isfinite(high) and low <= high):
        raise BadInput(f"{low:g} to {high:g} {limit.unit} is no range", resource=limit.id)
    return float(low), float(high)


def profile(name: str) -> Profile:
    """A limits profile by its name.

    Raises:
        BadInput: if there is none of that name.

    >>> profile("uk").jurisdictions
    ('uk', 'international')
    """
    if name not in _profiles():
        raise BadInput(f"there is no limits profile '{name}'; expected one of {', '.join(profile_names())}")
    fields = _profiles()[name]
    return Profile(name, fields["title"], tuple(fields["jurisdictions"]))


def profile_names() -> tuple[str, ...]:
    """The names of the limits profiles.

    >>> profile_names()
    ('us', 'eu', 'uk')
    """
    return tuple(_profiles())


@functools.cache
def _profiles() -> Mapping[str, Mapping[str, Any]]:
    text = resources.files("sinkside.limits").joinpath("profiles.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
