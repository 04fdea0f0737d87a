"""How large a change is, so that changes can be put in order; the order is ours (common practice, no source).

What can be bought and put on a shelf is small. What must be validated is larger; a figure of a program that
exists is less than a new program. A machine is largest.
"""

from __future__ import annotations

from typing import Final

SUPPLY: Final = 1
CHEMICAL: Final = 2
ONE_FIGURE_OF_A_PROGRAM: Final = 3
ASK_THE_MAKER: Final = 4
SPLIT: Final = 4
NEW_PROGRAM: Final = 5
RACK: Final = 6
WATER: Final = 7
MACHINE: Final = 50
