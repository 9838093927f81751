"""Compare what was said with the child's own limits, or published ones.

Pure: no file, clock or device.  A number in the care plan always beats a
published one, and every breach says whose limit it was.
"""

from collections.abc import Mapping
from typing import Literal

from voicelog.careplan import CarePlan
from voicelog.entries import Frozen, Slots
from voicelog.published import Mark, Published, Side

Whose = Literal["plan", "published"]

# Nought of these means that none was used, which is never too few.
_NONE_USED = frozenset({"saline_drops"})

# Sums such as 6.1 + 0.3 must not fail a value equal to them; finer than any slot.
_DECIMALS = 3

_UNITS = {
    "pressure_mmhg": "mmHg",
    "pass_seconds": "seconds",
    "passes": "passes",
    "saline_drops": "drops",
    "depth_cm": "cm",
    "spo2": "percent",
    "heart_rate": "beats a minute",
    "resp_rate": "breaths a minute",
    "temperature_c": "degrees Celsius",
}


class Bound(Frozen):
    """One side of a limit.

    Args:
        value: in the slot's unit.
        inclusive: the value itself is still within the limit ("at most 120").
        whose: the child's plan, or a published number.
        source: short name of the published source; empty for the plan.
        mark: how sure the published number is; None for the plan.
    """

    value: float
    inclusive: bool = True
    whose: Whose = "plan"
    source: str = ""
    mark: Mark | None = None

    def exceeded(self, value: float, side: Side) -> bool:
        """Tell whether ``value`` lies outside this bound."""
        if value == self.value:
            return not self.inclusive
        return value > self.value if side == "high" else value < self.value


class Limit(Frozen):
    """What a slot may be; a side that is None is not checked."""

    slot: str
    unit: str
    low: Bound | None = None
    high: Bound | None = None


class Breach(Frozen):
    """A value outside its limit.

    Args:
        slot, value, unit: what was said.
        side: too "low" or too "high".
        limit, inclusive: the bound it crossed.
        whose, source, mark: whose bound that is.
    """

    slot: str
    value: float
    unit: str
    side: Side
    limit: float
    inclusive: bool
    whose: Whose
    source: str = ""
    mark: Mark | None = None


def limits_for(plan: CarePlan, published: Published) -> Mapping[str, Limit]:
    """Return the limit of each slot: the plan's number, else the published default.

    A plan's bounds are inclusive, except fever, which starts at its number.
    """
    own = _own_bounds(plan)
    chosen = _default_bounds(plan, published)
    limits = {}
    for slot, unit in _units(published).items():
        low = own.get((slot, "low")) or chosen.get((slot, "low"))
        high = own.get((slot, "high")) or chosen.get((slot, "high"))
        low, high = _without_conflict(low, high)
        if low or high:
            limits[slot] = Limit(slot=slot, unit=unit, low=low, high=high)
    return limits


def unchecked(plan: CarePlan, published: Published) -> tuple[str, ...]:
    """Tell, a sentence each, what the plan leaves no published number for."""
    own, chosen = _own_bounds(plan), _default_bounds(plan, published)
    told = []
    for slot in _units(published):
        low = own.get((slot, "low")) or chosen.get((slot, "low"))
        high = own.get((slot, "high")) or chosen.get((slot, "high"))
        if low and high and None in _without_conflict(low, high):
            told.append(_no_room(slot, low, high))
    usual, most = plan.suction.passes_usual, chosen.get(("passes", "high"))
    if usual and most and ("passes", "high") not in own and most.exceeded(usual, "high"):
        told.append(
            f"The plan's passes_usual is {usual}, and more than the published {most.value:g} are "
            "always warned of: write suction.passes_high."
        )
    return tuple(told)


def _no_room(slot: str, low: Bound, high: Bound) -> str:
    if low.whose == "plan":
        missing, why = (
            "upper",
            f"lower limit {low.value:g} is not below the published {high.value:g}",
        )
        key = f"{slot}_high"
    else:
        missing, why = (
            "lower",
            f"upper limit {high.value:g} is not above the published {low.value:g}",
        )
        key = f"{slot}_low"
    return f"No {missing} limit is checked for {slot}: the plan's {why}; write {key}."


def check(slots: Slots, limits: Mapping[str, Limit]) -> tuple[Breach, ...]:
    """Return every value that crosses its limit, in the order the slots were given."""
    return tuple(
        breach
        for slot, value in slots.items()
        if slot in limits
        and isinstance(value, (int, float))
        and (breach := _breach(limits[slot], value)) is not None
    )


def _breach(limit: Limit, value: float) -> Breach | None:
    if limit.slot in _NONE_USED and value == 0:
        return None
    sides: tuple[tuple[Side, Bound | None], ...] = (("low", limit.low), ("high", limit.high))
    for side, bound in sides:
        if bound is not None and bound.exceeded(value, side):
            return Breach(
                slot=limit.slot,
                value=value,
                unit=limit.unit,
                side=side,
                limit=bound.value,
                inclusive=bound.inclusive,
                whose=bound.whose,
                source=bound.source,
                mark=bound.mark,
            )
    return None


def _units(published: Published) -> dict[str, str]:
    """Return the unit of each slot that may have a limit; one that is new brings its own."""
    defaults = published.defaults
    new = {each.slot: published.row(row).unit for each in defaults for row in each.row.values()}
    return _UNITS | {slot: unit for slot, unit in new.items() if slot not in _UNITS}


def _own_bounds(plan: CarePlan) -> dict[tuple[str, Side], Bound]:
    suction, watch, catheter = plan.suction, plan.watch, plan.catheter
    deepest = None
    if catheter.depth_cm is not None:
        deepest = round(catheter.depth_cm + catheter.deeper_allowed_cm, _DECIMALS)
    given: dict[tuple[str, Side], float | None] = {
        ("pressure_mmhg", "low"): suction.pressure_mmhg_low,
        ("pressure_mmhg", "high"): suction.pressure_mmhg_high,
        ("pass_seconds", "high"): suction.pass_seconds_high,
        ("passes", "high"): suction.passes_high,
        ("saline_drops", "low"): suction.saline_drops_low,
        ("saline_drops", "high"): suction.saline_drops_high,
        ("depth_cm", "high"): deepest,
        ("spo2", "low"): watch.spo2_low,
        ("heart_rate", "low"): watch.heart_rate_low,
        ("heart_rate", "high"): watch.heart_rate_high,
        ("resp_rate", "low"): watch.resp_rate_low,
        ("resp_rate", "high"): watch.resp_rate_high,
        ("temperature_c", "high"): watch.fever_c,
    }
    return {
        key: Bound(value=value, inclusive=key[0] != "temperature_c")
        for key, value in given.items()
        if value is not None
    }


def _default_bounds(plan: CarePlan, published: Published) -> dict[tuple[str, Side], Bound]:
    bounds = {}
    for default in published.defaults:
        row = published.row(default.row[plan.child.age_group])
        value = getattr(row, default.side)
        bounds[default.slot, default.side] = Bound(
            value=value,
            inclusive=getattr(row, f"{default.side}_inclusive"),
            whose="published",
            source=published.sources[row.source].name,
            mark=row.mark,
        )
    return bounds


def _without_conflict(low: Bound | None, high: Bound | None) -> tuple[Bound | None, Bound | None]:
    """Drop a published bound that the plan's other bound leaves no room beside."""
    if low is None or high is None or low.value < high.value:
        return low, high
    return (low, None) if low.whose == "plan" else (None, high)
