from datetime import date, timedelta

import numpy as np
import pytest

from tests.baseline.make import CHICAGO, at, event, procedure, steady
from voicelog.baseline.frailty import Days, draw_days
from voicelog.baseline.history import History
from voicelog.baseline.pool import Pool
from voicelog.baseline.settings import Settings
from voicelog.baseline.supplies import lasting, supplies

SETTINGS = Settings(zone=CHICAGO, delivery_days=5)
TODAY = date(2026, 1, 31)


def pool_of(mean: float, days: int = 60) -> Pool:
    pool = Pool()
    for _ in range(days):
        pool.add(mean, 1.0)
    return pool


def history(procedures, events) -> History:
    found = History(SETTINGS)
    found.fill(procedures, events)
    return found


def test_count_said_aloud_less_use_since() -> None:
    said = event(at(2026, 1, 29, 9), catheters_on_hand=100, gloves_on_hand=90)
    procedures = steady(at(2026, 1, 1), 30)  # ten a day, to 30 January 22:30
    stock = {s.name: s for s in supplies(history(procedures, [said]), pool_of(10), SETTINGS, TODAY)}
    since = sum(p.started > said.at for p in procedures)
    assert stock["catheters"].left == 100 - since
    assert stock["gloves"].left == 90 - 2 * since
    assert stock["gloves"].a_day == pytest.approx(20)
    assert stock["catheters"].counted == date(2026, 1, 29)


def test_saline_is_used_by_procedures_with_saline_only() -> None:
    said = event(at(2026, 1, 1, 0, 1), saline_on_hand=200)
    procedures = [
        procedure(p.started, **({"saline_drops": 3} if i % 2 else {}))
        for i, p in enumerate(steady(at(2026, 1, 1), 20))
    ]
    (stock,) = supplies(history(procedures, [said]), pool_of(10), SETTINGS, TODAY)
    assert stock.left == 100
    assert stock.a_day == pytest.approx(5)


def test_the_plans_count_stands_until_one_is_said() -> None:
    settings = Settings(zone=CHICAGO, stock={"catheters": 60, "bandages": 3})
    found = History(settings)
    found.fill(steady(at(2026, 1, 1), 20), [])
    (stock,) = supplies(found, pool_of(10), settings, TODAY)  # nothing is known of bandages
    assert (stock.left, stock.counted) == (60, None)


def test_order_in_time_for_the_shorter_end() -> None:
    said = event(at(2026, 1, 30, 23), catheters_on_hand=200)
    (stock,) = supplies(history(steady(at(2026, 1, 1), 30), [said]), pool_of(10), SETTINGS, TODAY)
    assert stock.days == pytest.approx(20)
    assert stock.days_low < 20 < stock.days_high
    assert stock.run_out == TODAY + timedelta(days=stock.days_low)
    assert stock.reorder_by == stock.run_out - timedelta(days=5)


def test_too_late_is_today_not_yesterday() -> None:
    said = event(at(2026, 1, 30, 23), catheters_on_hand=20)
    (stock,) = supplies(history(steady(at(2026, 1, 1), 30), [said]), pool_of(10), SETTINGS, TODAY)
    assert stock.reorder_by == TODAY


def test_none_left() -> None:
    said = event(at(2026, 1, 30, 23), catheters_on_hand=0)
    (stock,) = supplies(history(steady(at(2026, 1, 1), 30), [said]), pool_of(10), SETTINGS, TODAY)
    assert (stock.left, stock.days_low) == (0, 0)


def test_nothing_said_before_anything_is_usual() -> None:
    said = event(at(2026, 1, 30, 23), catheters_on_hand=20)
    assert supplies(history([], [said]), Pool(), SETTINGS, TODAY) == []


@pytest.mark.parametrize(
    ("left", "chance", "each"), [(150, 1.0, 1.0), (700, 1.0, 1.0), (400, 2.0, 2.0), (60, 0.25, 1.0)]
)
def test_the_interval_holds_what_it_says(left, chance, each) -> None:
    """Simulated homes: learned from 60 days, then used up; 10 % shorter, 10 % longer."""
    rng = np.random.default_rng(3)
    days, short, long, runs = Days(12.0, 0.12), 0, 0, 600
    for _ in range(runs):
        pool = Pool()
        rates = draw_days(days, (60 + 120, 1), rng)[:, 0]
        counts = rng.poisson(rates)
        for n in counts[:60]:
            pool.add(float(n), 1.0)
        low, high = lasting(left, pool, chance, each)
        used = np.cumsum(each * rng.binomial(counts[60:], chance / each))
        lasted = int(np.searchsorted(used, left, side="right"))  # whole days it was enough
        short += lasted < low
        long += lasted > high
    assert short / runs < 0.15
    assert long / runs < 0.15
    assert short + long > 0.02 * runs  # and it is not endlessly wide
