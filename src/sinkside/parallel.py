"""Sharing work out among processes of this machine, or among the machines of a Dask cluster."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from itertools import islice
from multiprocessing.connection import wait
from typing import TYPE_CHECKING, Any, Final, Generic, Protocol, Self, TypeVar

from sinkside.errors import BadInput, UnreadableFile

if TYPE_CHECKING:
    from distributed import Client

Item = TypeVar("Item")
Done = TypeVar("Done")

#: What is done with a share: an answer for each of its items, in their order.
Work = Callable[[Sequence[Item]], list[Done]]

#: So many shares wait for each process, so that none stands idle while answers are written down.
_WAITING: Final = 2
_CLUSTER_ANSWERS_WITHIN_S: Final = 10


class Workers(Protocol[Item, Done]):
    """Who does the work: this process, several, or other machines. However many, the answers are the same."""

    def each(self, work: Work[Item, Done], shares: Iterable[Sequence[Item]]) -> Iterator[list[Done]]:
        """The work done on each share, in their order."""
        ...


class ThisProcess(Generic[Item, Done]):
    """The work done here and now, one share after the other."""

    def each(self, work: Work[Item, Done], shares: Iterable[Sequence[Item]]) -> Iterator[list[Done]]:
        """The work done on each share, in their order."""
        return map(work, shares)


@dataclass(frozen=True)
class Processes(Generic[Item, Done]):
    """The work shared by processes of this machine.

    A share that brings its process down, as a file may that unfolds without end, is done again item by item;
    the item that does it again is answered by `lost`, and the rest go on.
    """

    count: int
    lost: Callable[[Item], Done]

    def each(self, work: Work[Item, Done], shares: Iterable[Sequence[Item]]) -> Iterator[list[Done]]:
        """The work done on each share, in their order."""
        rest, waiting = iter(shares), deque[Sequence[Item]]()
        while share := next(rest, None):
            waiting.append(share)
            yield from self._in_one_pool(work, waiting, rest)
            yield from self._with_care(work, waiting)

    def _in_one_pool(
        self, work: Work[Item, Done], waiting: deque[Sequence[Item]], rest: Iterator[Sequence[Item]]
    ) -> Iterator[list[Done]]:
        """Shares done until there are none, or the pool breaks; then those in hand are left in `waiting`."""
        pool = _pool(self.count)
        futures: deque[Future[list[Done]]] = deque()
        try:
            while waiting:
                waiting.extend(islice(rest, _WAITING * self.count + 1 - len(waiting)))
                futures.extend(pool.submit(work, share) for share in islice(waiting, len(futures), None))
                done = futures[0].result()
                futures.popleft()
                waiting.popleft()
                yield done
        except BrokenProcessPool:
            return
        finally:
            pool.shutdown(wait=True, cancel_futures=True)

    def _with_care(self, work: Work[Item, Done], waiting: deque[Sequence[Item]]) -> Iterator[list[Done]]:
        """Shares done item by item, so that the one which brings a process down is known."""
        pool = _pool(1)
        try:
            while waiting:
                done = []
                for item in waiting.popleft():
                    try:
                        done += pool.submit(work, (item,)).result()
                    except BrokenProcessPool:
                        done.append(self.lost(item))
                        pool.shutdown(wait=True)
                        pool = _pool(1)
                yield done
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


class Cluster(Generic[Item, Done]):
    """The work shared by the machines of a Dask cluster; they must see the files under the same paths."""

    def __init__(self, client: Client, *, address: str, lost: Callable[[Item], Done] | None = None) -> None:
        # The library says no types of its own.
        self._client: Any = client
        self._address, self._lost = address, lost

    @classmethod
    def at(cls, address: str, *, lost: Callable[[Item], Done] | None = None) -> Self:
        """The cluster whose scheduler answers at an address.

        Args:
            address: such as tcp://10.0.0.5:8786.
            lost: what is answered for an item that brings down each process which takes it up; without it
                such an item ends the work.

        Raises:
            BadInput: if Dask is not installed.
            UnreadableFile: if nobody answers.
        """
        try:
            from distributed import Client
        except ImportError as error:
            raise BadInput("Dask is not installed; install sinkside[dask]", resource="--dask") from error
        try:
            connect: Any = Client
            client = connect(address, timeout=_CLUSTER_ANSWERS_WITHIN_S, set_as_default=False)
        except (OSError, ValueError) as error:
            raise UnreadableFile("no Dask scheduler answers there", resource=address) from error
        return cls(client, address=address, lost=lost)

    def each(self, work: Work[Item, Done], shares: Iterable[Sequence[Item]]) -> Iterator[list[Done]]:
        """The work done on each share, in their order.

        Raises:
            UnreadableFile: if the cluster is lost, or an item cannot be done there and nothing is answered
            for it.
        """
        rest = iter(shares)
        threads = sum(self._client.nthreads().values()) or 1
        waiting = deque(self._submitted(work, share) for share in islice(rest, _WAITING * threads + 1))
        while waiting:
            share, future = waiting.popleft()
            done = self._answer(future)
            waiting.extend(self._submitted(work, share) for share in islice(rest, 1))
            yield [self._with_care(work, item) for item in share] if done is None else done

    def _submitted(self, work: Work[Item, Done], share: Sequence[Item]) -> tuple[Sequence[Item], Any]:
        # Each is asked for once; the same question later may find other files behind the same names.
        return share, self._client.submit(work, share, pure=False)

    def _with_care(self, work: Work[Item, Done], item: Item) -> Done:
        done = self._answer(self._submitted(work, (item,))[1])
        if done is not None:
            return done[0]
        if self._lost is None:
            raise UnreadableFile(
                "each process that took up a part of the work was brought down", resource=self._address
            )
        return self._lost(item)

    def _answer(self, future: Any) -> list[Done] | None:
        """What came of a share; None if every process that took it up was brought down."""
        from distributed import CancelledError, KilledWorker

        try:
            done: list[Done] = future.result()
        except KilledWorker:
            return None
        except (CancelledError, OSError) as error:
            raise UnreadableFile("the Dask cluster is gone", resource=self._address) from error
        return done

    def close(self) -> None:
        """Let go of the cluster, which goes on."""
        self._client.close()


def _pool(count: int) -> ProcessPoolExecutor:
    # Forking a process whose libraries run threads can lock it up.
    context = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(count, mp_context=context, initializer=_begin)


def _begin() -> None:
    """What a process does before its first share."""
    # Processes share the processors already; a library's threads in each would only get in their way.
    os.environ["POLARS_MAX_THREADS"] = "1"
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """End when the process that wanted the work is gone, even if it was killed and could not say so."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
        os._exit(1)
