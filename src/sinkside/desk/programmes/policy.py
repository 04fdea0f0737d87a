"""The policy of verification that comes with the program, and what of it holds in a department."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources
from typing import Final

from sinkside.bench.programmes.programme import Method
from sinkside.bench.programmes.reaction import VerificationPolicy
from sinkside.department import Department
from sinkside.desk.machine_things import profile_of
from sinkside.errors import BadInput
from sinkside.instruction import FeatureKind, Instruction
from sinkside.limits import Limit, published

READ: Final = "verification-read"
PLAN: Final = "verification-plan"
RECORD: Final = "verification-record"


@functools.cache
def policy() -> VerificationPolicy:
    """The policy in force."""
    file = resources.files("sinkside.desk").joinpath("policies", "verification.toml")
    known = VerificationPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))
    for name in {one for method in known.methods.values() for one in (*method.limits, *method.beside)}:
        published(name)
    return known


def method_of(method: str) -> Method:
    """A method by its id.

    Raises:
        BadInput: if the policy has no such method.
    """
    known = policy().methods
    if method not in known:
        raise BadInput(f"expected one of {', '.join(known)}", resource="method")
    return known[method]


def pass_mark(method: Method, site: Department | None) -> Limit | None:
    """The published pass mark on an instrument that is in force here; none where nobody published one."""
    limits = profile_of(site) if site else None
    known = [published(name) for name in method.limits]
    found = next((one for one in known if limits and one.jurisdiction in limits.jurisdictions), None)
    return limits.figure(found.id) if limits and found else None


def places_of(instruction: Instruction) -> tuple[str, ...]:
    """Where soil hides on a device, by its features; the whole surface where none of them is hard."""
    known = policy().hard_places
    kinds = [feature.kind.value for feature in instruction.device.features]
    found = [words for kind, words in known.items() if kind in kinds]
    return tuple(found) or ("the whole surface",)


def is_difficult(instruction: Instruction) -> bool:
    """Whether a device is one of the hard ones by its features."""
    hard = {FeatureKind(name) for name in policy().difficult}
    return any(feature.kind in hard for feature in instruction.device.features)
