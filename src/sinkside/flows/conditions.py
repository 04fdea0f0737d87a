"""What text and department leave open, and what is taken until somebody says better: two ends each."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.science.validity import refuse_unless_positive


@dataclass(frozen=True)
class Conditions:
    """What is taken for granted; all are common practice, without a published source.

    Attributes:
        water_c: Coldest and warmest water in °C, where the text gives no temperature.
        by_hand_s: Shortest and longest time in s in which a hand empties a syringe, where no time is told.
        barrel_m: Inner diameter in m of the syringe; 29 mm is usual for 50 and 60 mL.
        off_middle: How far a rod lies off the middle of its bore at least and at most, over the gap.
        air_c: Temperature of the air in °C.
        humidity: Lowest and highest relative humidity of the air; instrument air is drier than a room.
        film_m: Thinnest and thickest film in m that a first blow leaves at the wall.
        old_share: The share of the old liquid that may be left when a flush counts as done.
    """

    water_c: tuple[float, float] = (15.0, 25.0)
    by_hand_s: tuple[float, float] = (5.0, 60.0)
    barrel_m: float = 0.029
    off_middle: tuple[float, float] = (0.0, 0.9)
    air_c: float = 20.0
    humidity: tuple[float, float] = (0.05, 0.5)
    film_m: tuple[float, float] = (10e-6, 50e-6)
    old_share: float = 0.01

    def __post_init__(self) -> None:
        refuse_unless_positive(
            fastest_syringe=self.by_hand_s[0], slowest_syringe=self.by_hand_s[1], barrel=self.barrel_m
        )
        if self.by_hand_s[0] > self.by_hand_s[1]:
            raise ValueError("the shortest time by hand must not be above the longest")
