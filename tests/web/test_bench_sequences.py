"""Any sequence of requests at the bench: no set reaches the store with something undone, held or missing.

The walk of the record book that judges it (`support.bench_walk`) knows nothing of the gates that it judges.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from support.bench_sequence import Sequence
from support.figures import Figure


def _gone(seed: int, steps: int) -> tuple[Sequence, list[str]]:
    """A sequence after so many requests, and what the record book says against it."""
    sequence = Sequence(seed)
    sequence.go(steps)
    return sequence, [*sequence.walk.wrong, *sequence.standing_wrong()]


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(seed=st.integers(0, 2**32))
def test_no_sequence_of_requests_brings_an_unready_set_into_the_store(seed: int) -> None:
    """At every request that stores or issues, and at the end, the record book tells that all was done."""
    assert _gone(seed, 90)[1] == []


def test_such_sequences_do_reach_the_store() -> None:
    """What is drawn is no standing still: sets come into the store, and requests are refused on the way."""
    sequence, wrong = _gone(11, 220)
    assert (wrong, bool(sequence.walk.reached_store)) == ([], True)


@pytest.mark.long
def test_a_million_requests_bring_no_unready_set_into_the_store(
    figure: Figure,
) -> None:
    """The same over a million requests, in sequences of 500."""
    steps, stored = 0, 0
    for seed in range(2_000):
        sequence, wrong = _gone(seed, 500)
        assert wrong == [], f"seed {seed}"
        steps += sequence.steps
        stored += len(sequence.walk.reached_store)
    assert (steps, stored > 1_000) == (1_000_000, True)
    figure(f"{steps:,} requests, {stored:,} sets stored, none unready")
