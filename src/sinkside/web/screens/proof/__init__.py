"""Proof: whose record one reads, one person's record, a station's cover, papers and a table to take along."""

from sinkside.web.screens.proof import page
from sinkside.web.screens.proof.page import screen

__all__ = ["page", "screen"]
