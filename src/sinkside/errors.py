"""What can go wrong, as a tree.

    SinksideError
    ├── BadInput            what came from outside cannot be used: what, where, what was expected
    │   ├── UnreadableFile      missing, empty, binary, truncated, locked
    │   ├── BadQuantity         a number or unit that cannot be understood, or of the wrong kind
    │   └── BadDocument         a document that does not fit its format; carries every fault
    ├── Conflict            somebody else was quicker; nothing was written
    ├── NotAllowed          this person may not do this here
    ├── NotThere            there is no such thing, or none that this person may know of
    ├── NotForTheFloor      a paper that must not be printed yet
    └── OutsideValidity     a published model asked for something it does not cover

Every error carries the resource it concerns (a file, a field, a figure) and reads as one sentence.
"""

from dataclasses import dataclass


class SinksideError(Exception):
    """One sentence for a person, and the resource that it concerns."""

    def __init__(self, message: str, *, resource: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.resource = resource

    def __str__(self) -> str:
        return f"{self.resource}: {self.message}" if self.resource else self.message


class BadInput(SinksideError):
    """What came from outside cannot be used."""


class UnreadableFile(BadInput):
    """A file that is missing, empty, binary, truncated or locked."""


class BadQuantity(BadInput):
    """A number or unit that cannot be understood, or that is of the wrong kind."""


@dataclass(frozen=True)
class Fault:
    """One fault in a document: where it is, and what is wrong there."""

    path: str
    problem: str

    def __str__(self) -> str:
        return f"{self.path}: {self.problem}" if self.path else self.problem


class BadDocument(BadInput):
    """A document that does not fit its format; carries every fault with its path."""

    def __init__(self, faults: list[Fault], *, resource: str = "") -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(str(fault) for fault in faults), resource=resource)


class Conflict(SinksideError):
    """Somebody else was quicker; nothing was written, and trying again with what is there now may work."""


class NotAllowed(SinksideError):
    """This person may not do this here."""


class NotThere(SinksideError):
    """There is no such thing, or none that this person may know of; the answer is the same."""


class NotForTheFloor(SinksideError):
    """A paper that must not be printed yet, and why."""


class OutsideValidity(SinksideError):
    """A published model was asked for something outside the range it covers."""
