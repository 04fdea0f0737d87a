"""Our own bounds of what is plausible: no standard gives them (common practice, no source).

Beyond them a figure is questioned, never corrected. Each is set wide enough that no working instruction
should reach it.
"""

from __future__ import annotations

from typing import Final

from sinkside.instruction import Action, FigureRole

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

#: A soak shorter than the first wets the device and does nothing else; one shorter than the second surely.
SHORTEST_SOAK_S: Final = 60.0
SURELY_SHORT_SOAK_S: Final = 20.0

#: Nobody cleans longer; a night's soak is said to be one.
LONGEST_CLEANING_S: Final = {Action.soak: 4 * 3600.0, Action.sonicate: 3600.0, Action.wash: 2 * 3600.0}

#: Hot air takes longer than this to get warm.
SHORTEST_HOT_AIR_S: Final = 60.0
HOT_AIR_C: Final = 50.0

#: Dry heat stays below this, and everything else far below it.
HOTTEST_PROCESS_C: Final = 200.0

#: Where the pH scale ends for every liquid that a department has.
TOP_OF_PH_SCALE: Final = 14.0

#: A detergent solution colder than this was not meant; as °C the same number would be a usual one.
COLDEST_DETERGENT_C: Final = 15.0
COLDEST_WASH_C: Final = 20.0
WARMEST_WASH_C: Final = 70.0

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

#: Dry heat in °C, and the least time in s from there on (from memory of textbooks, rounded down).
DRY_HEAT_AT_LEAST_S: Final = ((150.0, 7200.0), (160.0, 3600.0), (170.0, 1800.0), (180.0, 1200.0))

#: The hottest cycles of gas and plasma in °C, rounded up.
HOTTEST_GAS_C: Final = {"ethylene-oxide": 65.0, "peroxide": 65.0, "formaldehyde": 85.0}

#: Packed instruments are held for no longer at 131 °C and more, prions and gravity aside.
LONGEST_HOT_EXPOSURE_S: Final = 1500.0

#: Nobody disinfects for longer: ten times what viruses need that withstand heat, and more.
MOST_A0_S: Final = 60_000.0

#: The shortest and longest times in s of work that is over in minutes, and of drying and cooling.
TIMES_OF_WORK_S: Final = {
    Action.rinse: (3.0, 1800.0),
    Action.pre_rinse: (5.0, 1800.0),
    Action.flush: (0.5, 1800.0),
    Action.brush: (4.0, 1800.0),
    Action.blow: (1.0, 1800.0),
    Action.dry: (5.0, 12 * 3600.0),
    Action.cool: (60.0, 24 * 3600.0),
}

#: Air as hot as this dries in less.
LONGEST_HOT_AIR_S: Final = 6 * 3600.0

#: No cycle dries for longer behind the steam.
LONGEST_STEAM_DRYING_S: Final = 3 * 3600.0

#: Nobody does it more often.
MOST_TIMES: Final = {
    FigureRole.strokes: 200.0,
    FigureRole.repeats: 100.0,
    FigureRole.actuations: 200.0,
    FigureRole.pulses: 20.0,
    FigureRole.drops: 20.0,
}

#: Lenses at the bench, microscopes included.
WEAKEST_LENS: Final = 1.0
STRONGEST_LENS: Final = 60.0

#: A tenth of the weakest dose of a cleaner that we know of.
WEAKEST_DOSE: Final = 1e-4

#: A joint takes up drops.
MOST_OIL_ML: Final = 10.0

#: Neither hot air nor hot water that disinfects is cooler.
COOLEST_HOT_WORK_C: Final = 60.0

#: An empty tray weighs more.
LIGHTEST_SET_KG: Final = 0.2

#: No sterile pack is kept for so short or so long.
SHORTEST_SHELF_LIFE_S: Final = 3600.0
LONGEST_SHELF_LIFE_S: Final = 10.5 * 365.0 * 86400.0

#: Drying behind the steam that is shorter than this dries no pack; five minutes are the least for textiles.
SHORTEST_STEAM_DRYING_S: Final = 300.0

#: Longer than any exposure that is asked for, the one for prions included.
LONGEST_EXPOSURE_S: Final = 3600.0

#: An ultrasonic bath above this was not meant.
SURELY_HOT_BATH_C: Final = 60.0

#: Where common plastics begin to soften (from memory of property tables, rounded down).
SOFTENS_AT_C: Final = {
    "acrylic": 90.0,
    "vinyl": 75.0,
    "polystyrene": 90.0,
    "abs-plastic": 90.0,
    "polyethylene": 105.0,
}

#: Insulation testers for instruments work between these.
LOWEST_TEST_V: Final = 100.0
HIGHEST_TEST_V: Final = 15_000.0

#: Steam sterilizes nothing below this; hot air of a washer stays below it.
COOLEST_STEAM_C: Final = 114.0

#: Degrees without a letter are degrees Celsius of water, air or steam between these.
COOLEST_TOLD_C: Final = 10.0
HOTTEST_STEAM_C: Final = 140.0

#: From here on water in a washer disinfects; cooler phases clean.
A0_HOT_C: Final = 80.0

#: Air at a lower gauge pressure moves no drop in a lumen (from our own experience; common practice).
LEAST_AIR_KPA = 10.0

#: Tap water is warmer than the first of these, and ice is the second.
COLDEST_TAP_C: Final = 5.0
ICE_C: Final = 0.5

#: Drinking water may have 2500 µS/cm at 20 °C (Directive (EU) 2020/2184, from memory).
MOST_WATER_US_CM: Final = 3000.0
