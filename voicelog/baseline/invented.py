"""An invented child: a seeded generator of journal views, for tests, benches and demos.

No real child's data.  By default 90 days from 5 January 2026 in Chicago time:

- an infection, days 30 to 37 (from 0): more often, thick, yellow then green, some foul;
- a humid week, days 48 to 54: watery, and tagged by voice;
- the clocks go forward on day 62 (8 March);
- nothing is logged from day 72, 16:00 to day 74, 8:00.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from voicelog.baseline.calendar import HOUR, day_start, hours_between
from voicelog.entries import Event, Procedure, Slots

# Share of procedures in each local hour: few at night, most after waking and meals.
SHAPE = np.array([1, 1, 1, 1, 2, 3, 5, 9, 7, 5, 5, 5, 6, 6, 5, 5, 5, 6, 6, 5, 5, 4, 2, 1], float)


@dataclass(frozen=True)
class Story:
    """What happens to the invented child; days count from 0, ends left out.

    Args:
        first: local date of day 0.
        days: length.
        a_day: usual procedures a day; ``scatter`` is the spread of its log from day to day.
        infection, humid, gap: day ranges; the gap begins at 16:00 and ends at 8:00.

    """

    first: date = date(2026, 1, 5)
    days: int = 90
    zone: ZoneInfo = field(default_factory=lambda: ZoneInfo("America/Chicago"))
    a_day: float = 12.0
    scatter: float = 0.1
    infection: range = range(30, 38)
    humid: range = range(48, 55)
    gap: tuple[int, int] | None = (72, 74)


def invent(seed: int = 1, story: Story | None = None) -> tuple[list[Procedure], list[Event]]:
    """Return the procedures and events of an invented child, in time order."""
    told = story or Story()
    rng = np.random.default_rng(seed)
    procedures: list[Procedure] = []
    events: list[Event] = []
    bad = 0.0
    for day in range(told.days):
        bad = 0.5 * bad + told.scatter * np.sqrt(0.75) * rng.standard_normal()
        rate = told.a_day * float(np.exp(bad)) * (1.8 if day in told.infection else 1.0)
        moments = _moments(told, day, rate, rng)
        procedures += [_procedure(told, day, at, rng) for at in moments]
        events += _events(told, day, rng)
    if told.gap is not None:
        procedures = [p for p in procedures if not _in_gap(told, p.started)]
        events = [e for e in events if not _in_gap(told, e.at)]
    return procedures, sorted(events, key=lambda e: e.at)


def _uuid(rng: np.random.Generator) -> UUID:
    return UUID(bytes=rng.bytes(16), version=4)


def _at(told: Story, day: int, hour: float) -> datetime:
    on = told.first + timedelta(days=day)
    local = datetime.combine(on, time(int(hour), int(hour % 1 * 60)), tzinfo=told.zone)
    return local.astimezone(UTC).astimezone(told.zone)


def _in_gap(told: Story, at: datetime) -> bool:
    assert told.gap is not None  # noqa: S101 - asked before
    return _at(told, told.gap[0], 16) <= at < _at(told, told.gap[1], 8)


def _moments(told: Story, day: int, rate: float, rng: np.random.Generator) -> list[datetime]:
    ordinal = told.first.toordinal() + day
    start, end = day_start(ordinal, told.zone), day_start(ordinal + 1, told.zone)
    shares = SHAPE / SHAPE.sum()
    found: list[float] = []
    at = start
    for _, hour, length in hours_between(start, end, told.zone):
        n = rng.poisson(rate * shares[hour] * length)
        found += (at + rng.random(n) * length * HOUR).tolist()
        at += length * HOUR
    return [datetime.fromtimestamp(round(t), told.zone) for t in sorted(found)]


def _procedure(told: Story, day: int, at: datetime, rng: np.random.Generator) -> Procedure:
    infected, humid = day in told.infection, day in told.humid
    waking = 7 <= at.hour < 9
    colour = str(rng.choice(["clear", "white", "cloudy"], p=[0.55, 0.4, 0.05]))
    thickness = str(rng.choice(["thin", "normal", "thick"], p=[0.25, 0.7, 0.05]))
    if waking and rng.random() < 0.7:
        colour, thickness = "cloudy", "thick"
    if infected:
        late = day - told.infection.start > 2
        colour = "green" if late and rng.random() < 0.6 else "yellow"
        thickness = str(rng.choice(["thick", "very thick"], p=[0.7, 0.3]))
    elif humid:
        thickness = "watery" if rng.random() < 0.85 else "thin"
    passes = int(1 + rng.binomial(2, 0.75 if infected else 0.35))
    slots: Slots = {"passes": passes, "colour": colour, "thickness": thickness}
    slots["amount"] = str(rng.choice(["small", "moderate", "large"], p=[0.5, 0.4, 0.1]))
    slots["odour"] = "foul" if infected and rng.random() < 0.3 else "none"
    if rng.random() < (0.5 if infected else 0.15):
        slots["saline_drops"] = int(rng.integers(3, 6))
    slots["depth_cm"] = 6.0
    slots["pressure_mmhg"] = int(rng.choice([80, 90, 100]))
    slots["spo2"] = int(np.clip(rng.normal(94 if infected else 97, 1), 85, 100))
    return Procedure(
        uuid=_uuid(rng),
        child="Robin",
        caregiver=str(rng.choice(["Ada", "Noor"])),
        started=at,
        ended=at + timedelta(minutes=4),
        slots=slots,
        passes=tuple(float(x) for x in rng.integers(4, 10, passes)),
        complete=True,
    )


def _events(told: Story, day: int, rng: np.random.Generator) -> list[Event]:
    planned: list[tuple[float, Slots]] = [
        (hour, {"fluid_ml": int(rng.normal(150, 20))})
        for hour in (7.5, 10.0, 12.5, 15.0, 18.0, 21.0)
    ]
    if day in told.humid:
        planned.append((9.0, {"tag": "humid day"}))
    if day % 7 == 0:
        planned.append((10.5, {"action": "tube_change"}))
    if day % 30 == 20:
        planned += [(11.0, {"catheters_on_hand": 400}), (11.1, {"saline_on_hand": 60})]
    return [
        Event(
            uuid=_uuid(rng),
            child="Robin",
            caregiver="Ada",
            at=_at(told, day, hour),
            kind="event" if "action" in slots else "values",
            slots=slots,
        )
        for hour, slots in planned
    ]
