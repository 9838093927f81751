"""Words put in order, so that "thicker" and "more coloured" can be counted.

Colour follows the three chart grades mucoid, mucopurulent, purulent (Murray et
al. 2009 bronchiectasis colour chart); the steps inside a grade are our own
choice, no source.  Blood has its own reason and no place on the scale.
Thickness and amount keep the order of their words (common practice, no source).
"""

from collections.abc import Mapping
from types import MappingProxyType

from voicelog.entries import SlotValue

COLOUR: Mapping[str, float] = MappingProxyType(
    {"clear": 0, "white": 1, "cloudy": 2, "tan": 2.5, "yellow": 3, "green": 4, "brown": 5}
)
THICKNESS: Mapping[str, float] = MappingProxyType(
    {"watery": 0, "thin": 1, "normal": 2, "thick": 3, "very thick": 4, "plug": 5}
)
AMOUNT: Mapping[str, float] = MappingProxyType(
    {"none": 0, "scant": 1, "small": 2, "moderate": 3, "large": 4, "copious": 5}
)
ODOUR: Mapping[str, float] = MappingProxyType({"none": 0, "sweet": 1, "foul": 1})
BLOOD = frozenset({"red", "pink", "blood-tinged"})
FOUL = frozenset({"foul"})

THICK = THICKNESS["thick"]
OFF_COLOUR = COLOUR["yellow"]
LITTLE = AMOUNT["scant"]

SCALES: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {"colour": COLOUR, "thickness": THICKNESS, "amount": AMOUNT, "odour": ODOUR}
)
_NAN = float("nan")


def score(slot: str, value: SlotValue | None) -> float:
    """Return a number for a slot's value; NaN when it is not there or has no place."""
    if value is None:
        return _NAN
    if isinstance(value, str):
        return SCALES.get(slot, {}).get(value, _NAN)
    return float(value)


def word(slot: str, value: float) -> str:
    """Return the word whose score is nearest to ``value``, the first of equals."""
    scale = SCALES[slot]
    return min(scale, key=lambda name: abs(scale[name] - value))
