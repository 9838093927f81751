import numpy as np
import pytest

from tests.baseline.make import CHICAGO, at, event, procedure, steady
from voicelog.baseline.intervals import garwood
from voicelog.baseline.learner import Learner
from voicelog.baseline.settings import Settings

SETTINGS = Settings(zone=CHICAGO)


def normal(procedures, events=()):
    learner = Learner(SETTINGS)
    learner.fill(procedures, events)
    return learner.normal


def test_nothing_is_stated_before_the_learning_period_is_over() -> None:
    early = normal(steady(at(2026, 1, 1), 10))
    assert not early.known
    assert (early.days, early.needed) == (9, 14)
    assert early.per_day is None


def test_rates_by_day_hour_and_part_of_the_day() -> None:
    found = normal(steady(at(2026, 1, 1), 31))
    days = 30
    assert found.days == days
    want = garwood(10 * days, days)
    assert (found.rate.low, found.rate.high) == pytest.approx((want.low, want.high), rel=0.01)
    assert found.by_hour[6].value == pytest.approx(1.0)
    assert found.by_hour[7].value == 0
    assert found.by_hour[7].high == pytest.approx(3.6889 / days, rel=1e-3)  # Garwood 1936, n = 0
    assert {name: round(r.value) for name, r in found.bands.items()} == {
        "morning": 2,
        "afternoon": 3,
        "evening": 2,
        "night": 3,
    }


def test_an_hour_that_was_not_covered_does_not_look_quiet() -> None:
    procedures = steady(at(2026, 1, 1), 40, hours=tuple(range(0, 24, 2)))
    kept = [p for p in procedures if not (p.started.day in (20, 21, 22) and p.started.month == 1)]
    found = normal(kept)
    assert found.by_hour[12].value == pytest.approx(1.0, abs=0.02)


def test_measures_of_each_slot() -> None:
    rng = np.random.default_rng(1)
    procedures = [
        procedure(
            p.started,
            passes=(5.0, 9.0),
            colour=str(rng.choice(["clear", "white"])),
            depth_cm=6.0,
            spo2=int(rng.integers(95, 99)),
            **({"saline_drops": 3} if i % 4 == 0 else {}),
            odour="foul" if i % 50 == 0 else "none",
        )
        for i, p in enumerate(steady(at(2026, 1, 1), 31))
    ]
    found = normal(procedures)
    assert found.measured["passes"].value == 2
    assert found.measured["pass_seconds"].value == 9
    assert (found.measured["colour"].low, found.measured["colour"].high) == (0, 1)
    assert found.measured["depth_cm"].low == found.measured["depth_cm"].high == 6
    assert "pressure_mmhg" not in found.measured  # never logged
    assert found.saline.value == pytest.approx(0.25, abs=0.005)
    assert found.saline.low < 0.25 < found.saline.high
    assert found.drops.value == 3
    assert found.foul.value == pytest.approx(0.02)


def test_a_few_values_are_not_a_normal() -> None:
    procedures = steady(at(2026, 1, 1), 31)
    procedures[5] = procedure(procedures[5].started, amount="large")
    assert "amount" not in normal(procedures).measured


def test_fluids_of_a_day() -> None:
    drinks = [event(p.started, fluid_ml=80) for p in steady(at(2026, 1, 1), 31)]
    found = normal(steady(at(2026, 1, 1), 31), drinks)
    assert found.fluid_ml.value == 800
