"""Which program a record is judged against: the one that it names, or the only one there is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Self

from sinkside.department import Program
from sinkside.errors import BadInput


@dataclass(frozen=True)
class Programs:
    """Programs by every name that a record may call them by, in small letters."""

    by_name: Mapping[str, Program] = field(default_factory=dict)

    @classmethod
    def of(cls, named: Iterable[tuple[str, Program]]) -> Self:
        """Programs under the names that they were given, and under their own.

        Raises:
            BadInput: if there is none, or one name means two programs.
        """
        by_name: dict[str, Program] = {}
        for given, program in named:
            for name in {given.casefold(), program.name.casefold()}:
                if by_name.setdefault(name, program) != program:
                    raise BadInput("this name means two different programs", resource=name)
        if not by_name:
            raise BadInput("there is no program to judge by")
        return cls(by_name)

    def called(self, name: str) -> Program:
        """The program that a record names; without a name the only one.

        A record is never judged by a program that it does not name.

        Raises:
            BadInput: if there is none of that name, or no name and several programs.
        """
        known = list(dict.fromkeys(program.name for program in self.by_name.values()))
        if name:
            program = self.by_name.get(name.casefold())
            if program is None:
                raise BadInput(
                    f"the record names the program '{name}', which is none of those given "
                    f"({'; '.join(known)}); say which one is meant with --program NAME=FILE"
                )
            return program
        if len(known) > 1:
            raise BadInput(
                f"the record does not say which of {len(known)} programs ran; judge it with one --program"
            )
        return next(iter(self.by_name.values()))
