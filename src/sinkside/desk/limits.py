"""Limits: the published figures in force."""

from __future__ import annotations

from sinkside.limits import LimitsDocument, limits_document, profile


def limits_in_force(profile_name: str) -> LimitsDocument:
    """The published figures that a profile puts in force, with their sources.

    Raises:
        BadInput: if there is no such profile.
    """
    return limits_document(profile(profile_name))
