"""Our own bounds of what is plausible: no standard gives them (common practice, no source).

Beyond them a figure is questioned, never corrected. Each is set wide enough that no working instruction
should reach it.
"""

from __future__ import annotations

from typing import Final

#: A brush that touches the wall all round is a little wider than the bore; much wider does not go in.
WIDEST_BRUSH_TO_BORE: Final = 1.3

#: Printed steam pressures are rounded to a tenth of a bar or so, which is worth some 2 K.
STEAM_PRESSURE_AGREES_K: Final = 3.0

#: More liquid than a person pushes through one instrument, by syringe and in any other way.
MOST_BY_SYRINGE_ML: Final = 1000.0
MOST_FLUSH_ML: Final = 5000.0

#: Above any water, air or steam line in a department.
MOST_PRESSURE_KPA: Final = 1000.0

#: One part of detergent in five of bath; cleaners are dosed at a few millilitres a litre.
STRONGEST_DOSE: Final = 0.2

#: Cleaners used on instruments lie between 20 and 200 kHz.
SLOWEST_BATH_HZ: Final = 15e3
FASTEST_BATH_HZ: Final = 400e3

#: A soak shorter than this wets the device and does nothing else.
SHORTEST_SOAK_S: Final = 60.0

#: A detergent solution colder than this was not meant; as °C the same number would be a usual one.
COLDEST_DETERGENT_C: Final = 12.0

#: Water under the atmosphere boils.
BOILING_C: Final = 100.0

#: How far two ways of writing one figure may lie apart before rounding no longer explains it.
PAIR_AGREES_K: Final = 1.5
PAIR_AGREES_SHARE: Final = 0.1

#: A used device that waits longer than this is nobody's routine.
LONGEST_DELAY_H: Final = 12.0

#: No store is warmer, and in damper air than this packs get wet.
WARMEST_STORE_C: Final = 45.0
DAMPEST_STORE_PERCENT: Final = 85.0

#: Drying behind the steam that is shorter than the first was not meant; the second dries no packed metal.
SHORTEST_STEAM_DRYING_S: Final = 60.0
DOUBTFUL_STEAM_DRYING_S: Final = 300.0

#: Longer than any exposure that is asked for, the one for prions included.
LONGEST_EXPOSURE_S: Final = 3600.0
