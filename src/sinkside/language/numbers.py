"""Numbers and measures as a language writes them.

Digits, grouping and the decimal sign come from CLDR through Babel. Unit symbols are those of the SI in every
language written in Latin letters (SI Brochure, 9th edition, 5.2: symbols are mathematical entities, not
abbreviations; clause number from memory); days, months and years are words and take each language's plural.
"""

from __future__ import annotations

import functools
import math
from decimal import Decimal
from typing import TYPE_CHECKING

from sinkside.errors import BadInput, BadQuantity

if TYPE_CHECKING:
    from babel import Locale

NO_BREAK = "\u00a0"
MINUS = "\u2212"

#: Enough to show any reading, few enough to hide what binary floats add (0.1 + 0.2).
_SIGNIFICANT_DIGITS = 6

_WORDS = {"d": "duration-day", "week": "duration-week", "month": "duration-month", "year": "duration-year"}
_LOCAL_SYMBOLS = {"s": "duration-second", "min": "duration-minute", "h": "duration-hour"}


@functools.cache
def locale_of(language: str) -> Locale:
    """What Babel knows of a language.

    Raises:
        BadInput: if it knows nothing of it.
    """
    from babel import Locale, UnknownLocaleError

    try:
        return Locale.parse(language, sep="-")
    except (UnknownLocaleError, ValueError) as error:
        raise BadInput(
            f"'{language}' is no language that Sinkside knows; expected a code such as 'en' or 'pt-BR'"
        ) from error


@functools.lru_cache(maxsize=4_096)
def number(value: float, language: str = "en", *, decimals: int | None = None) -> str:
    """A number as a language writes it, without trailing zeros.

    Six significant digits are kept unless `decimals` allows fewer; whole digits are never rounded.

    Raises:
        BadInput: if the language is unknown.
        BadQuantity: if the value is not a number.

    >>> number(132.0), number(2992.9), number(-0.5)
    ('132', '2,992.9', '−0.5')
    >>> number(2992.9, "de")
    '2.992,9'
    """
    from babel.numbers import format_decimal

    if not math.isfinite(value):
        raise BadQuantity(f"'{value}' is no number that can be written")
    text = format_decimal(_rounded(value, decimals), locale=locale_of(language), decimal_quantization=False)
    return text.replace("-", MINUS)


def measure(value: float, unit: str, language: str = "en", *, decimals: int | None = None) -> str:
    r"""A value with its unit as a language writes them, kept on one line by a no-break space.

    Raises:
        BadInput: if the language is unknown.
        BadQuantity: if the value is not a number.

    >>> measure(132.0, "°C"), measure(0.5, "%", "de"), measure(3, "month"), measure(7, "pH")
    ('132\xa0°C', '0,5\xa0%', '3\xa0months', 'pH\xa07')
    """
    text = number(value, language, decimals=decimals)
    return with_unit(text, unit, language, plural_of=_rounded(value, decimals))


def with_unit(text: str, unit: str, language: str, *, plural_of: Decimal) -> str:
    """A number already written, with its unit: `4 min`, `20–45 °C`, `pH 7`, `30°`, `3 months`."""
    if unit in {"1", "ratio", ""}:
        return text
    if unit == "pH":
        return f"pH{NO_BREAK}{text}"
    if unit == "deg":
        return f"{text}°"
    if unit == "%":
        return _percent(text, language)
    return _in_words(text, unit, language, plural_of) or f"{text}{NO_BREAK}{unit}"


def _rounded(value: float, decimals: int | None) -> Decimal:
    """The value to six significant digits, or to fewer decimals, never losing whole digits."""
    exact = Decimal(repr(float(value)))
    places = max(0, _SIGNIFICANT_DIGITS - 1 - exact.adjusted()) if exact else 0
    if decimals is not None:
        places = min(places, decimals)
    short = exact.quantize(Decimal(1).scaleb(-places)).normalize()
    # normalize() writes 100 as 1E+2, and a zero may carry a sign.
    return short.quantize(Decimal(1)) + 0 if short == short.to_integral_value() else short


def _percent(text: str, language: str) -> str:
    """Some languages write 10 %, some 10%; English follows the SI here, as printed instructions mostly do."""
    locale = locale_of(language)
    pattern = str(locale.percent_formats[None].pattern)
    gap = NO_BREAK if locale.language == "en" or not pattern.rstrip("%").endswith(("0", "#")) else ""
    return f"{text}{gap}%"


def _in_words(text: str, unit: str, language: str, plural_of: Decimal) -> str | None:
    """The unit as the language's own word, in the plural that the number asks for; None for symbols."""
    from babel.numbers import format_decimal
    from babel.units import format_unit

    locale = locale_of(language)
    name = _WORDS.get(unit) or (_LOCAL_SYMBOLS.get(unit) if not _is_latin(language) else None)
    if name is None:
        return None
    for length in ("long", "short") if unit in _WORDS else ("short",):
        # Where CLDR has no pattern of this length, Babel writes the unit's identifier instead.
        words = format_unit(plural_of, name, length=length, locale=locale)
        if name not in words:
            return words.replace(format_decimal(plural_of, locale=locale), text).replace(" ", NO_BREAK)
    return None


@functools.cache
def _is_latin(language: str) -> bool:
    from babel.core import get_global

    locale = locale_of(language)
    likely = str(get_global("likely_subtags").get(locale.language, "")).split("_")
    return (locale.script or (likely[1] if len(likely) > 1 else "Latn")) == "Latn"
