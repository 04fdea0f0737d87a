"""Addresses within one lesson, each with the language and the changes that are being looked at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode


@dataclass(frozen=True)
class Ways:
    """Addresses of a lesson, and what each of them says on.

    >>> Ways("/lesson", {"language": "pl", "since": ""}).to(part="sink")
    '/lesson?language=pl&part=sink'
    """

    address: str
    said: Mapping[str, object]

    def to(self, place: str = "", **more: object) -> str:
        """An address, with what is said instead or as well; what is empty is left out."""
        said = {name: value for name, value in {**self.said, **more}.items() if value}
        return f"{self.address}{place}?{urlencode(said)}" if said else f"{self.address}{place}"
