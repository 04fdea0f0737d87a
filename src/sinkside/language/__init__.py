"""Words in the reader's language, and numbers and units as that language writes them."""

from sinkside.language.catalogue import (
    REFERENCE_LANGUAGE,
    Catalogue,
    Message,
    catalogue,
    key_of,
    read_catalogue,
    split_key,
)
from sinkside.language.computed import computed, computed_range
from sinkside.language.figures import bounds_text, figure_text
from sinkside.language.numbers import locale_of, measure, number
from sinkside.language.render import filled, render

__all__ = [
    "REFERENCE_LANGUAGE",
    "Catalogue",
    "Message",
    "bounds_text",
    "catalogue",
    "computed",
    "computed_range",
    "figure_text",
    "filled",
    "key_of",
    "locale_of",
    "measure",
    "number",
    "read_catalogue",
    "render",
    "split_key",
]
