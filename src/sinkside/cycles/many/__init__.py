"""Many records: found in files, folders and data sets, shared out, and told in order."""

from sinkside.cycles.many.apart import OneCycle, taken_apart
from sinkside.cycles.many.columns import KeyColumns
from sinkside.cycles.many.files import judge_many
from sinkside.cycles.many.gathering import RECORDER_ENDINGS, Gathered, gather
from sinkside.cycles.many.judging import Asked
from sinkside.cycles.many.programs import Programs
from sinkside.cycles.many.record import Record
from sinkside.cycles.many.running import judge_records, workers_for
from sinkside.cycles.many.told import Told, told_lost

__all__ = [
    "RECORDER_ENDINGS",
    "Asked",
    "Gathered",
    "KeyColumns",
    "OneCycle",
    "Programs",
    "Record",
    "Told",
    "gather",
    "judge_many",
    "judge_records",
    "taken_apart",
    "told_lost",
    "workers_for",
]
