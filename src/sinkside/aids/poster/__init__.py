"""Posters for the wall."""

from sinkside.aids.poster.paper import poster_pdf, sheets
from sinkside.aids.poster.request import Approval, PosterRequest

__all__ = ["Approval", "PosterRequest", "poster_pdf", "sheets"]
