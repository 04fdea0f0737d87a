"""Work shared among processes and machines: every item is answered, whatever becomes of its process."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from sinkside.errors import UnreadableFile
from sinkside.parallel import Cluster, Processes, Work
from support.work import doubled, lost


class Fragile:
    """A cluster's client in whose processes no negative number lets anybody live."""

    def nthreads(self) -> dict[str, int]:
        """Two machines of one thread each."""
        return {"a": 1, "b": 1}

    def submit(self, work: Work[int, int], share: Sequence[int], *, pure: bool) -> Fragile.Future:
        """A share in hand."""
        assert not pure
        return Fragile.Future(work, share)

    class Future:
        """What a share comes to."""

        def __init__(self, work: Work[int, int], share: Sequence[int]) -> None:
            self.work, self.share = work, share

        def result(self) -> list[int]:
            """The answers; as the library says it where every process that took the share up was killed."""
            from distributed import KilledWorker

            if min(self.share) < 0:
                unknown: Any = None
                raise KilledWorker("share", unknown, 0)
            return self.work(self.share)


def test_a_cluster_answers_for_what_brings_its_processes_down() -> None:
    """A number that kills each process is answered as lost, the rest of its share and all others are done."""
    client: Any = Fragile()
    numbers = [[1, 2, 3], [4, -1, 5], *([number] for number in range(6, 14))]
    machines = Cluster[int, int](client, address="tcp://a:1", lost=lost)
    done = [answer for share in machines.each(doubled, numbers) for answer in share]
    assert done == [2, 4, 6, 8, lost(-1), 10, *range(12, 28, 2)]
    with pytest.raises(UnreadableFile, match="tcp://a:1: each process"):
        list(Cluster[int, int](client, address="tcp://a:1").each(doubled, numbers))


def test_a_scheduler_that_does_not_answer_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """An address where nobody listens is refused with it, and not waited for without end."""
    monkeypatch.setattr("sinkside.parallel._CLUSTER_ANSWERS_WITHIN_S", 1)
    with pytest.raises(UnreadableFile, match=r"tcp://127\.0\.0\.1:9: no Dask scheduler"):
        Cluster.at("tcp://127.0.0.1:9", lost=lost)


def test_what_brings_a_process_down_is_answered_and_the_rest_go_on() -> None:
    """Two numbers of many kill the process that meets them; all have their answer, in order."""
    numbers = [*range(1, 9), -1, *range(9, 19), -2, 19, 20]
    shares = [numbers[start : start + 3] for start in range(0, len(numbers), 3)]
    workers: Processes[int, int] = Processes(2, lost=lost)
    done = [answer for share in workers.each(doubled, shares) for answer in share]
    assert done == [lost(number) if number < 0 else 2 * number for number in numbers]
