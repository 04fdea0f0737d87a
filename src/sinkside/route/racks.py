"""Racks that connect lumens, in washer-disinfectors and ultrasonic baths."""

from __future__ import annotations

from dataclasses import replace

from sinkside.department import Machine, Rack
from sinkside.route.appraisal import Candidate, bound
from sinkside.route.document import ResourceKind
from sinkside.route.phrases import Phrase


def rack_for(connections: int, machine: Machine) -> Rack | None:
    """The rack of a machine with the fewest connections that suffices."""
    able = [rack for rack in machine.racks if rack.lumen_connections >= connections]
    return min(able, key=lambda rack: rack.lumen_connections, default=None)


def too_few_connections(connections: int, machine: Machine) -> Phrase:
    """Why no rack of a machine suffices."""
    most = max((rack.lumen_connections for rack in machine.racks), default=0)
    return Phrase("its racks connect {most} of {needed} lumens", {"most": most, "needed": connections})


def with_rack(candidate: Candidate, rack: Rack | None) -> Candidate:
    """A program together with the rack that it takes."""
    if rack is None:
        return candidate
    own = bound(ResourceKind.rack, rack.id, rack.name)
    return replace(candidate, bindings=(*candidate.bindings, own))
