"""Every act that a tap can carry, told apart by its name; each kind of work adds its own."""

from __future__ import annotations

from sinkside.bench.acts import OfTheRun
from sinkside.bench.case_acts import OfACase
from sinkside.bench.exception_acts import OfExceptions
from sinkside.bench.load_acts import OfLoads
from sinkside.bench.piece_acts import OfPieces
from sinkside.bench.store_acts import OfTheStore

Act = OfTheRun | OfPieces | OfLoads | OfExceptions | OfTheStore | OfACase
