"""The journal's views as columns of numbers, grown one row at a time."""

from collections.abc import Iterable
from math import isnan
from uuid import UUID

import numpy as np

from voicelog.baseline.runlength import Floats
from voicelog.baseline.scales import BLOOD, score
from voicelog.entries import Procedure, SlotValue

# One column each; "start" is seconds since 1970, "day" the ordinal of the local
# date, "hour" the local time of day in hours.  "saline" is 0 unless saline was
# spoken of: nobody says "no saline" each time.
FIELDS = (
    "start",
    "day",
    "hour",
    "passes",
    "colour",
    "thickness",
    "amount",
    "odour",
    "saline_drops",
    "depth_cm",
    "pressure_mmhg",
    "pass_seconds",
    "spo2",
    "fluid_ml",
    "oxygen_lpm",
    "blood",
    "foul",
    "saline",
)
_AT = {name: i for i, name in enumerate(FIELDS)}
_PLAIN = ("colour", "thickness", "amount", "odour", "saline_drops", "depth_cm", "pressure_mmhg")
_NAN = float("nan")


class Columns:
    """Rows of numbers, one a key; the newest version of a key's row stands."""

    def __init__(self, width: int) -> None:
        self._rows = np.full((256, width), np.nan)
        self._index: dict[UUID, int] = {}
        self.size = 0

    def fill(self, keys: Iterable[UUID], rows: Floats) -> None:
        """Replace everything by ``rows``, shape ``(n, width)``, in time order."""
        self._rows = np.asarray(rows, dtype=float)
        self.size = len(rows)
        self._index = {key: i for i, key in enumerate(keys)}

    def put(self, key: UUID, row: list[float]) -> int:
        """Write one row; return its place.  Rows keep the order of their first column."""
        place = self._index.get(key)
        if place is None:
            place = self._append(key)
        self._rows[place] = row
        if self._out_of_order(place):
            self._sort()
            place = self._index[key]
        return place

    def drop(self, key: UUID) -> bool:
        """Take a row away (an undone entry); return whether it was there."""
        place = self._index.pop(key, None)
        if place is None:
            return False
        self._rows[place : self.size - 1] = self._rows[place + 1 : self.size].copy()
        self.size -= 1
        self._index = {k: i - (i > place) for k, i in self._index.items()}
        return True

    def row(self, key: UUID) -> Floats | None:
        """Return a copy of one row, or None."""
        place = self._index.get(key)
        return None if place is None else self._rows[place].copy()

    @property
    def table(self) -> Floats:
        """All rows, a view of shape ``(size, width)``."""
        return self._rows[: self.size]

    def _append(self, key: UUID) -> int:
        if self.size == len(self._rows):
            grown = np.full((max(256, 2 * self.size), self._rows.shape[1]), np.nan)
            grown[: self.size] = self._rows
            self._rows = grown
        self._index[key] = self.size
        self.size += 1
        return self.size - 1

    def _out_of_order(self, place: int) -> bool:
        start = self._rows[:, 0]
        before = place > 0 and start[place - 1] > start[place]
        after = place + 1 < self.size and start[place] > start[place + 1]
        return bool(before or after)

    def _sort(self) -> None:
        order = np.argsort(self._rows[: self.size, 0], kind="stable")
        self._rows[: self.size] = self._rows[order]
        moved = np.empty(self.size, dtype=int)
        moved[order] = np.arange(self.size)
        self._index = {key: int(moved[i]) for key, i in self._index.items()}


class Procedures(Columns):
    """Suction procedures in the order they began."""

    def __init__(self) -> None:
        super().__init__(len(FIELDS))

    def column(self, name: str) -> Floats:
        """Return one column, a view of shape ``(size,)``; NaN where not logged."""
        return self.table[:, _AT[name]]


def numbers(procedure: Procedure) -> list[float]:
    """Return a procedure's row, in the order of ``FIELDS``."""
    started, slots = procedure.started, procedure.slots
    timed = procedure.passes
    seconds = max(timed) if timed else score("pass_seconds", slots.get("pass_seconds"))
    passes = score("passes", slots.get("passes"))
    if isnan(passes) and timed:
        passes = float(len(timed))
    return [
        started.timestamp(),
        float(started.toordinal()),
        started.hour + started.minute / 60 + started.second / 3600,
        passes,
        *(score(slot, slots.get(slot)) for slot in _PLAIN),
        seconds,
        score("spo2", slots.get("spo2")),
        score("fluid_ml", slots.get("fluid_ml")),
        score("oxygen_lpm", slots.get("oxygen_lpm")),
        _is(slots.get("colour"), BLOOD),
        _is(slots.get("odour"), frozenset({"foul"})),
        float(_positive(slots.get("saline_drops")) or _positive(slots.get("saline_ml"))),
    ]


def _is(value: SlotValue | None, words: frozenset[str]) -> float:
    return _NAN if value is None else float(value in words)


def _positive(value: SlotValue | None) -> bool:
    return isinstance(value, (int, float)) and value > 0
