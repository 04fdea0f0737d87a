"""What is said of a layout, and what would put it right."""

from __future__ import annotations

from typing import Final

from sinkside.findings import Level, Wording

TOUCHING: Final = Wording(
    rule="tray-touching",
    level=Level.stop,
    message="{one} and {two} lie on each other.",
    remedy="Move one of them away.",
)
TOO_NEAR: Final = Wording(
    rule="tray-clearance",
    level=Level.stop,
    message="{one} and {two} are {distance:.1} apart; {required:.1} are asked for.",
    remedy="Move one of them away.",
)
OUTSIDE: Final = Wording(
    rule="tray-outside",
    level=Level.stop,
    message="{one} sticks out of the tray by {by:.1}.",
    remedy="Move it inside, or take a larger tray.",
)
NEAR_WALL: Final = Wording(
    rule="tray-wall",
    level=Level.stop,
    message="{one} is {distance:.1} from the wall; {required:.1} are asked for.",
    remedy="Move it away from the wall.",
)
TIP_NEAR_WALL: Final = Wording(
    rule="tray-tip-near-wall",
    level=Level.concern,
    message="The tip of {one} is {distance:.1} from the wall; {required:.1} are asked for.",
    remedy="Move it, or turn it so that the tip points inwards.",
)
HEAVY_NEAR: Final = Wording(
    rule="tray-heavy-near-delicate",
    level=Level.concern,
    message="{heavy}, {mass:.3}, lies {distance:.1} from {delicate}, which is delicate ({why}); "
    "{required:.1} are asked for.",
    remedy="Lay the heavy one farther away.",
)
HEAVY_ABOVE: Final = Wording(
    rule="tray-heavy-above",
    level=Level.stop,
    message="{heavy}, {mass:.3}, lies on level {level}, above {below}.",
    remedy="Lay the heavy one on the floor.",
)
KEPT_APART: Final = Wording(
    rule="tray-kept-apart",
    level=Level.stop,
    message="{one} and {two} must not lie beside each other: {why}. They are {distance:.1} apart; "
    "{required:.1} are asked for.",
    remedy="Lay something else between them, or give one of them another tray.",
)
TOGETHER_IN_BASKET: Final = Wording(
    rule="tray-kept-apart",
    level=Level.stop,
    message="{one} and {two} must not lie beside each other: {why}. Both lie in {basket}.",
    remedy="Give one of them another basket.",
)
POSITION: Final = Wording(
    rule="tray-position",
    level=Level.stop,
    message="{one} lies with its {feature} {lies}; its text wants it {needed} when steam must reach it.",
    remedy="Set the {feature} {needed} before it is packed.",
)
POSITION_UNTOLD: Final = Wording(
    rule="tray-position-untold",
    level=Level.concern,
    message="The text of {one} does not say how the {feature} must be when steam must reach it.",
    remedy="Ask the maker; until then it is drawn as it lies at rest.",
)
NO_FALL: Final = Wording(
    rule="tray-lumen-level",
    level=Level.concern,
    message="The lumen of {one} falls by {fall:.1} towards its opening; {required:.1} are asked for.",
    remedy="Raise its back end by {raise:.0} on a bar, or slope the tray that way.",
)
CUP_UP: Final = Wording(
    rule="tray-cup-holds-water",
    level=Level.stop,
    message="{one} can hold water and does not open downwards.",
    remedy="Turn it over, or lay it on its side.",
)
NO_DRAIN: Final = Wording(
    rule="tray-no-drain",
    level=Level.concern,
    message="The floor of {tray} lets no water out.",
    remedy="Take a perforated tray.",
)
COVERED: Final = Wording(
    rule="tray-covered",
    level=Level.concern,
    message="{above} covers {share:.0} of {below}; steam and air must reach it, and water must leave it.",
    remedy="Lay them beside each other.",
)
NESTED: Final = Wording(
    rule="tray-nested",
    level=Level.stop,
    message="{above} lies over {below}, and one of them can hold water: nested things keep steam out.",
    remedy="Lay them beside each other.",
)
ORDER: Final = Wording(
    rule="tray-order-of-use",
    level=Level.note,
    message="{later}, order {later_turn}, lies before {earlier}, order {earlier_turn}.",
    remedy="Change their places, so that the order of use reads from left to right.",
)
NO_HOLDER: Final = Wording(
    rule="tray-no-holder",
    level=Level.concern,
    message="{one} is delicate ({why}) and lies in no holder.",
    remedy="Give it a mat, a comb, a bar, pins or a tip protector.",
)
HOLDER_UNKNOWN: Final = Wording(
    rule="tray-holder-assumed",
    level=Level.note,
    message="Nobody said how large the {holder} is; {length:.0} by {width:.0} are taken.",
    remedy="Say the inside length and width of it among the department's packaging.",
)
TRAY_ASSUMED: Final = Wording(
    rule="tray-size-assumed",
    level=Level.concern,
    message="Nobody said how large {tray} is inside; {length:.0} by {width:.0} are taken.",
    remedy="Measure it, and say it among the department's packaging.",
)
LOOSE: Final = Wording(
    rule="tray-small-loose",
    level=Level.stop,
    message="{one} is {extent:.0} long and lies loose; below {required:.0} a piece can be lost.",
    remedy="Put it in a closed basket.",
)
BASKET_FULL: Final = Wording(
    rule="tray-basket-too-small",
    level=Level.stop,
    message="{one}, {extent:.0} long, does not go into {basket}: it is too long by {by:.1}.",
    remedy="Take a larger basket, or lay it in the tray.",
)
TALL: Final = Wording(
    rule="tray-too-high",
    level=Level.stop,
    message="{one} is raised by {raised:.0}, and the tray is {height:.0} high.",
    remedy="Raise it less, or take a higher tray.",
)
MATES: Final = Wording(
    rule="tray-mates-parted",
    level=Level.concern,
    message="{one} and {two} belong together and are {distance:.0} apart; at most {required:.0} are wanted.",
    remedy="Lay them beside each other.",
)
SINGLE_USE: Final = Wording(
    rule="tray-single-use",
    level=Level.stop,
    message="{one} is single use, {use}; it is never in the tray.",
    remedy="Take it out.",
)
NOT_PLACED: Final = Wording(
    rule="tray-does-not-fit",
    level=Level.stop,
    message="{one} does not fit: {why}, by {by:.0}.",
    remedy="Take a larger tray, or split the set.",
)
NO_OUTLINE: Final = Wording(
    rule="tray-size-unknown",
    level=Level.stop,
    message="Not laid out, since nobody knows length and width of: {pieces}.",
    remedy="Measure them, and say both.",
)
OUTLINE_ASSUMED: Final = Wording(
    rule="tray-outline-common",
    level=Level.note,
    message="The text states no length of {pieces}; common lengths are drawn.",
    remedy="Measure them before a tray is ordered.",
)
MASS_UNKNOWN: Final = Wording(
    rule="tray-mass-unknown",
    level=Level.note,
    message="Whether these are heavy is not known, since nobody said their mass: {pieces}.",
    remedy="Weigh them, and say it in the set.",
)
