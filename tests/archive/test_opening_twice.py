"""Two who press at the same moment open one recall, and write one water event down, on both databases."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from sinkside.archive import WorkspaceArchive
from sinkside.bench.programmes.water_event import WaterEventKind
from sinkside.bench.recall import CauseKind
from sinkside.desk.programmes import water_events
from sinkside.desk.programmes.water_events import Begun, BegunAlready
from sinkside.desk.recall import recalling
from sinkside.desk.recall.again import OpenAlready
from sinkside.desk.recall.documents import Cause
from sinkside.desk.recall.recalling import Scope
from support.bench_house import bench_house

_TIMES = 4


def _at_once(act: Callable[[], str]) -> list[str]:
    """What comes of an act that several do at the same moment; nothing for one that was led elsewhere."""
    start = Barrier(_TIMES)

    def one() -> str:
        start.wait()
        try:
            return act()
        except (OpenAlready, BegunAlready) as error:
            return f"led to {error.resource}"

    with ThreadPoolExecutor(_TIMES) as pool:
        return [found.result() for found in [pool.submit(one) for _ in range(_TIMES)]]


def test_one_recall_and_one_water_event(archive: WorkspaceArchive) -> None:
    """One of four opens it; the others are led to that one, and the lists have it once."""
    bench = bench_house(archive=archive)
    lena, tom, now = bench.house.visitor("lena"), bench.house.visitor("tom"), bench.now
    cause = Cause(kind=CauseKind.machine, of="washer-1", words="The seal leaked.")
    recalls = _at_once(lambda: recalling.open_recall(archive, lena, cause, Scope(), now=now))
    begun = Begun(WaterEventKind.boil_notice, "the supplier", now, ("ro-loop",))
    events = _at_once(lambda: water_events.begin_event(archive, tom, begun, now=now))
    for found in (recalls, events):
        (first,) = [one for one in found if not one.startswith("led to")]
        assert sorted(found) == sorted([first, *[f"led to {first}"] * (_TIMES - 1)])
    assert [row.id for row in recalling.find_recalls(archive, lena)] == [min(recalls, key=len)]
    assert [row.id for row in water_events.find_events(archive, lena)] == [min(events, key=len)]
