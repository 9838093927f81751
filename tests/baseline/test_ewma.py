from math import sqrt

import numpy as np
import pytest

from tests.baseline.published import shared
from voicelog.baseline.ewma import deviation, ewma


def path(scores, start, weight) -> list[float]:
    found = [start]
    for score in scores:
        found.append(ewma(found[-1], score, weight))
    return found[1:]


def test_nist_ewma() -> None:
    """NIST/SEMATECH e-Handbook 6.3.2.4; the printed series rounds each step."""
    example = shared("statistics")["ewma_nist"]
    weight = example["lambda"]
    rounded, z = [], example["target"]
    for x in example["x"]:
        z = round(ewma(z, x, weight), 2)
        rounded.append(z)
    assert rounded == pytest.approx(example["z"], abs=0.011)
    half = example["width"] * deviation(example["sigma"], weight)
    assert example["target"] + half == pytest.approx(example["ucl"], abs=1e-4)
    assert example["target"] - half == pytest.approx(example["lcl"], abs=1e-4)
    exact = path(example["x"], example["target"], weight)
    assert max(exact) < example["ucl"]
    assert min(exact) > example["lcl"]


def test_thirty_observations() -> None:
    """Montgomery's series: lambda 0.1, L 2.7, first signal at 29."""
    example = shared("statistics")["thirty_observations"]
    given = example["ewma"]
    z = path(example["x"], example["target"], given["lambda"])
    for at, value in given["z"].items():
        assert z[at - 1] == pytest.approx(value, abs=5e-6)
    half = given["width"] * deviation(example["sigma"], given["lambda"])
    assert half == pytest.approx(given["half_width"], abs=5e-6)
    out = [i for i, value in enumerate(z, 1) if abs(value - example["target"]) > half]
    assert out[0] == given["signal"] == 29


@pytest.mark.parametrize("likeness", [0.0, 0.3, 0.6])
def test_deviation_of_correlated_scores_is_what_simulation_gives(likeness) -> None:
    rng = np.random.default_rng(2)
    runs, learned = 20_000, 50
    x = rng.standard_normal(runs)
    total = np.zeros(runs)
    for _ in range(learned):
        x = likeness * x + sqrt(1 - likeness**2) * rng.standard_normal(runs)
        total += x
    centre, z = total / learned, np.zeros(runs)
    x = rng.standard_normal(runs)  # long after the learning
    for _ in range(60):
        x = likeness * x + sqrt(1 - likeness**2) * rng.standard_normal(runs)
        z = ewma(z, x, 0.2)
    want = deviation(1.0, 0.2, likeness, learned)
    assert (z - centre).std() == pytest.approx(want, rel=0.03)
