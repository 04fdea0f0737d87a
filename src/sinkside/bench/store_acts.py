"""What can be done with packs in the store: put in, reserve, issue, take back, say what happened to one."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sinkside.bench.acts import ActOnCopy, Words
from sinkside.bench.case_number import CaseNumber
from sinkside.bench.exception_form import LONGEST_WORDS, SHORTEST_WORDS
from sinkside.bench.shelf_life import Mishap

Explained = Annotated[str, Field(min_length=SHORTEST_WORDS, max_length=LONGEST_WORDS)]


class PutInStore(ActOnCopy):
    """Put a pack in store; only where nothing stands in the way."""

    act: Literal["put-in-store"] = "put-in-store"
    place: Annotated[str, Field(max_length=120)] = ""


class Reserve(ActOnCopy):
    """Keep a pack for a case."""

    act: Literal["reserve"] = "reserve"
    case: CaseNumber


class Unreserve(ActOnCopy):
    """Keep a pack for no case any more."""

    act: Literal["unreserve"] = "unreserve"


class Issue(ActOnCopy):
    """Give a pack out to a case; whoever does says that it is whole, dry and can be read."""

    act: Literal["issue"] = "issue"
    case: CaseNumber
    whole: bool


class TakeBack(ActOnCopy):
    """Take a pack back: unopened and whole it is in store again, else it is soiled."""

    act: Literal["take-back"] = "take-back"
    whole: bool
    words: Words = ""


class PackMishap(ActOnCopy):
    """Something happened to a pack: it no longer counts as sterile and is processed again."""

    act: Literal["pack-mishap"] = "pack-mishap"
    what: Mishap


class IssueUnderException(ActOnCopy):
    """Give a set out although something stands in the way: by whose authority, and why it could not wait."""

    act: Literal["issue-under-exception"] = "issue-under-exception"
    case: CaseNumber
    authority: Explained
    reason: Explained


OfTheStore = PutInStore | Reserve | Unreserve | Issue | TakeBack | PackMishap | IssueUnderException
