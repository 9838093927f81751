"""The journal's views as columns of numbers, grown one row at a time."""

from collections.abc import Iterable, Sequence
from uuid import UUID

import numpy as np

from voicelog.baseline.runlength import Floats
from voicelog.baseline.scales import BLOOD, FOUL, SCALES
from voicelog.entries import Event, Procedure, Slots

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
_WORDS = ("colour", "thickness", "amount", "odour")
_NUMBERS = (
    "passes",
    "saline_drops",
    "depth_cm",
    "pressure_mmhg",
    "pass_seconds",
    "spo2",
    "fluid_ml",
    "oxygen_lpm",
)
_NAN = float("nan")


class Columns:
    """Rows of numbers, one a key; the newest version of a key's row stands."""

    def __init__(self, width: int) -> None:
        self._rows = np.full((256, width), np.nan)
        self._keys: list[int] = []
        self._index: dict[int, int] = {}  # by the uuid's number, which is quick to hash
        self.size = 0

    def fill(self, keys: Iterable[UUID], rows: Floats) -> None:
        """Replace everything by ``rows``, shape ``(n, width)``, in time order."""
        self._rows = np.asarray(rows, dtype=float)
        self.size = len(rows)
        self._keys = [key.int for key in keys]
        self._index = {key: i for i, key in enumerate(self._keys)}

    def put(self, key: UUID, row: list[float]) -> int:
        """Write one row; return its place.  Rows keep the order of their first column."""
        place = self._index.get(key.int)
        if place is None:
            place = self._append(key.int)
        self._rows[place] = row
        if self._out_of_order(place):
            self._sort()
            place = self._index[key.int]
        return place

    def drop(self, key: UUID) -> bool:
        """Take a row away (an undone entry); return whether it was there."""
        place = self._index.pop(key.int, None)
        if place is None:
            return False
        self._rows[place : self.size - 1] = self._rows[place + 1 : self.size].copy()
        self.size -= 1
        del self._keys[place]
        self._index.update((k, i) for i, k in enumerate(self._keys[place:], place))
        return True

    def row(self, key: UUID) -> Floats | None:
        """Return a copy of one row, or None."""
        place = self._index.get(key.int)
        return None if place is None else self._rows[place].copy()

    @property
    def table(self) -> Floats:
        """All rows, a view of shape ``(size, width)``."""
        return self._rows[: self.size]

    def _append(self, key: int) -> int:
        if self.size == len(self._rows):
            grown = np.full((max(256, 2 * self.size), self._rows.shape[1]), np.nan)
            grown[: self.size] = self._rows
            self._rows = grown
        self._keys.append(key)
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
        self._keys = [self._keys[i] for i in order.tolist()]
        self._index = {key: i for i, key in enumerate(self._keys)}


# An event's row: readings that are counted; the rest of it is in the marks.
READINGS = ("fluid_ml", "spo2", "oxygen_lpm")
EVENT_WIDTH = 2 + len(READINGS)


class Procedures(Columns):
    """Suction procedures in the order they began."""

    def __init__(self) -> None:
        super().__init__(len(FIELDS))

    def column(self, name: str) -> Floats:
        """Return one column, a view of shape ``(size,)``; NaN where not logged."""
        return self.table[:, _AT[name]]


def rows_of(procedures: Sequence[Procedure]) -> Floats:
    """Return the rows of procedures, shape ``(n, len(FIELDS))``.

    Column by column: five years of log are read at every start.
    """
    table = np.full((len(procedures), len(FIELDS)), np.nan)
    slots = [p.slots for p in procedures]
    when = [p.started for p in procedures]
    table[:, _AT["start"]] = [w.timestamp() for w in when]
    table[:, _AT["day"]] = [w.toordinal() for w in when]
    table[:, _AT["hour"]] = [w.hour + w.minute / 60 + w.second / 3600 for w in when]
    for name in _WORDS:
        score = SCALES[name].get
        table[:, _AT[name]] = [score(s.get(name), _NAN) for s in slots]  # type: ignore[arg-type]
    for name in _NUMBERS:
        table[:, _AT[name]] = _floats(slots, name)
    table[:, _AT["blood"]] = _said(slots, "colour", BLOOD)
    table[:, _AT["foul"]] = _said(slots, "odour", FOUL)
    drops = table[:, _AT["saline_drops"]]
    table[:, _AT["saline"]] = (drops > 0) | (_floats(slots, "saline_ml") > 0)
    _time_passes(table, procedures)
    return table


def event_rows(events: Sequence[Event]) -> Floats:
    """Return start, local day and ``READINGS`` of events, shape ``(n, EVENT_WIDTH)``."""
    slots = [e.slots for e in events]
    columns = [
        np.array([e.at.timestamp() for e in events], dtype=float),
        np.array([e.at.toordinal() for e in events], dtype=float),
        *(_floats(slots, name) for name in READINGS),
    ]
    return np.column_stack(columns).reshape(len(events), EVENT_WIDTH)


def numbers(procedure: Procedure) -> list[float]:
    """Return one procedure's row, in the order of ``FIELDS``."""
    return [float(x) for x in rows_of([procedure])[0]]


def _floats(slots: Sequence[Slots], name: str) -> Floats:
    given = [s.get(name) for s in slots]
    try:
        return np.array(given, dtype=float)  # None becomes NaN
    except ValueError:  # a word where a number belongs
        return np.array([v if isinstance(v, (int, float)) else _NAN for v in given], dtype=float)


def _said(slots: Sequence[Slots], name: str, words: frozenset[str]) -> Floats:
    given = [s.get(name) for s in slots]
    return np.array([_NAN if v is None else v in words for v in given], dtype=float)


def _time_passes(table: Floats, procedures: Sequence[Procedure]) -> None:
    """Timed passes: the longest of them, and their number where it was not said."""
    timed = [p.passes for p in procedures]
    longest = np.array([max(t) if t else _NAN for t in timed], dtype=float)
    number = np.array([len(t) if t else _NAN for t in timed], dtype=float)
    seconds, passes = table[:, _AT["pass_seconds"]], table[:, _AT["passes"]]
    table[:, _AT["pass_seconds"]] = np.where(np.isnan(longest), seconds, longest)
    table[:, _AT["passes"]] = np.where(np.isnan(passes), number, passes)
