"""The published figures, with their sources, and the profiles that say which are in force."""

from sinkside.limits.document import LimitEntry, LimitsDocument, limits_document
from sinkside.limits.limit import Limit, LimitKind, Override, Relation
from sinkside.limits.profile import Profile, profile, profile_names
from sinkside.limits.steam import (
    RecognisedSteamTemperature,
    plausible_steam_temperature,
    recognised_steam_temperature,
    recognised_steam_temperatures,
)
from sinkside.limits.tables import all_published, published, topics

__all__ = [
    "Limit",
    "LimitEntry",
    "LimitKind",
    "LimitsDocument",
    "Override",
    "Profile",
    "RecognisedSteamTemperature",
    "Relation",
    "all_published",
    "limits_document",
    "plausible_steam_temperature",
    "profile",
    "profile_names",
    "published",
    "recognised_steam_temperature",
    "recognised_steam_temperatures",
    "topics",
]
