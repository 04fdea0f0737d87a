"""Shelf life: what happens to a pack ends it, days only where policy sets them, and they mend nothing."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from sinkside.bench.shelf_life import MISHAP_WORDS, SOON_DAYS, Keeps, Mishap, StorePolicy, shelf_life

MADE = date(2026, 3, 2)
OURS = StorePolicy(keeps=(Keeps(packaging="pouch", days=180, reason="ours"),))


def test_without_days_a_pack_keeps_until_something_happens() -> None:
    """Event-related shelf life (ANSI/AAMI ST79, storage; second-hand): three years alone end nothing."""
    later = MADE + timedelta(days=3 * 365)
    kept = shelf_life(StorePolicy(), "wrap", sterilized=MADE, mishaps=(), today=later)
    assert kept.is_sound
    assert kept.until is None
    assert kept.findings == ()


def test_days_are_counted_from_the_day_of_the_cycle() -> None:
    """180 days from 2 March 2026 end on 29 August 2026 (by the calendar): sound that day, not the next."""
    last = date(2026, 8, 29)
    kept = shelf_life(OURS, "pouch", sterilized=MADE, mishaps=(), today=last)
    assert (kept.until, kept.is_sound) == (last, True)
    over = shelf_life(OURS, "pouch", sterilized=MADE, mishaps=(), today=last + timedelta(days=1))
    assert [one.rule for one in over.findings] == ["pack-over"]
    assert "2026-08-29" in over.findings[0].message
    assert not over.is_sound


def test_what_ends_soon_is_told_and_stays_sound() -> None:
    """From two weeks before the last day on it is told; a day earlier nothing is."""
    last = date(2026, 8, 29)
    early = last - timedelta(days=SOON_DAYS + 1)
    assert shelf_life(OURS, "pouch", sterilized=MADE, mishaps=(), today=early).findings == ()
    soon = shelf_life(OURS, "pouch", sterilized=MADE, mishaps=(), today=early + timedelta(days=1))
    assert soon.is_sound
    assert soon.findings[0].message == "It is to be used by 2026-08-29, in 14 days."


@given(
    st.lists(st.sampled_from(list(Mishap)), min_size=1, max_size=6),
    st.integers(-10, 400),
    st.sampled_from([None, "wrap", "pouch", "container"]),
)
def test_no_day_mends_what_something_happened_to(
    mishaps: list[Mishap], days: int, packaging: str | None
) -> None:
    """Whatever the packaging and the day, a pack that something happened to is never sound again."""
    today = MADE + timedelta(days=days)
    kept = shelf_life(OURS, packaging, sterilized=MADE, mishaps=mishaps, today=today)  # type: ignore[arg-type]
    assert not kept.is_sound
    told = [one.evidence["what"] for one in kept.findings if one.rule == "pack-mishap"]
    assert told == list(dict.fromkeys(MISHAP_WORDS[one] for one in mishaps))


def test_a_tray_keeps_nothing_sterile() -> None:
    """Days are set for sterile barriers (ISO 11607-1: wrap, pouch, container), for nothing else."""
    with pytest.raises(ValidationError, match="a tray keeps nothing sterile"):
        Keeps(packaging="tray", days=30, reason="ours")


def test_a_later_word_replaces_the_earlier() -> None:
    """One kind of packaging has one word; those of others stay."""
    both = OURS.replacing(Keeps(packaging="wrap", days=30, reason="dusty"))
    after = both.replacing(Keeps(packaging="pouch", days=None, reason="closed cupboards"))
    assert [(one.packaging, one.days) for one in after.keeps] == [("pouch", None), ("wrap", 30)]
