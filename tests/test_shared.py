"""The data files beside the code: every value has a source, and sums come out."""

import math
import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import yaml
from scipy import stats

from voicelog import data

FOLDER = data.folder("shared")
FILES = {path.stem: yaml.safe_load(path.read_text("utf-8")) for path in FOLDER.glob("*.yaml")}
SOURCES = FILES["sources"]
MARKS = {"R", "R2", "M", "C", "P"}


def nodes(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        yield value
        for inner in value.values():
            yield from nodes(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from nodes(inner)


@pytest.mark.parametrize("name", sorted(set(FILES) - {"sources"}))
def test_every_value_has_a_known_source_and_mark(name: str) -> None:
    cited = [node for node in nodes(FILES[name]) if "mark" in node or "source" in node]
    assert cited
    for node in cited:
        assert node["mark"] in MARKS, node
        # A recomputed case needs no source of its own; its formula has one.
        assert node["mark"] == "C" or "source" in node, node
        assert node.get("source", "practice") in SOURCES, node
        assert (node["mark"] == "P") == (node.get("source") == "practice"), node


def test_every_source_is_cited_and_sayable() -> None:
    cited = {node["source"] for name in FILES for node in nodes(FILES[name]) if "source" in node}
    assert cited == set(SOURCES)
    for source in SOURCES.values():
        assert len(source["name"]) <= 40
        assert source["title"]


def test_the_readme_lists_every_file() -> None:
    readme = (FOLDER / "README.md").read_text("utf-8")
    listed = set(re.findall(r"^\| `(\w+)\.yaml`", readme, re.MULTILINE))
    assert listed == set(FILES)


def test_emergencies_are_never_coached() -> None:
    for row in FILES["when_to_call"]:
        if row["finding"] in ("blocked tube", "tube out"):
            assert row["action"].startswith("follow the emergency plan and call")


# Holliday and Segar 1957: 100, 50, 20 mL/kg/day; hourly shortcut 4-2-1.
@pytest.mark.parametrize("case", FILES["fluids"]["cases"], ids=lambda case: f"{case['kg']}kg")
def test_fluid_table(case: dict[str, Any]) -> None:
    day = fluid(FILES["fluids"]["rule"]["day"], "ml_per_kg", case["kg"])
    hour = fluid(FILES["fluids"]["rule"]["hour"], "ml_per_kg", case["kg"])
    assert day == case["ml_day"]
    assert hour == case["shortcut"]
    assert round(day / 24, 2) == case["ml_hour"]


def test_fluid_day_and_shortcut_cross_where_said() -> None:
    cross = FILES["fluids"]["day_and_shortcut_cross"]
    rule = FILES["fluids"]["rule"]
    assert fluid(rule["day"], "ml_per_kg", cross["kg"]) / 24 == cross["ml_hour"]
    assert fluid(rule["hour"], "ml_per_kg", cross["kg"]) == cross["ml_hour"]


def fluid(steps: list[dict[str, float]], key: str, kg: float) -> float:
    total, start = 0.0, 0.0
    for step in steps:
        end = min(kg, step.get("up_to_kg", kg))
        total += max(0.0, end - start) * step[key]
        start = max(start, end)
    return total


# Cylinder factors and cases: cylinder tables named in oxygen.yaml.
@pytest.mark.parametrize("case", FILES["oxygen"]["cases"], ids=str)
def test_oxygen_minutes(case: dict[str, Any]) -> None:
    factor = next(c for c in FILES["oxygen"]["cylinders"] if c["size"] == case["size"])
    litres = max(0, case["psi"] - FILES["oxygen"]["reserve_psi"]) * factor["litres_per_psi"]
    assert litres / case["lpm"] == pytest.approx(case["minutes"], abs=0.05)
    if "litres" in case:
        assert litres == pytest.approx(case["litres"])


def test_units() -> None:
    units = FILES["units"]
    for row in units["pressures"]:
        assert row["mmhg"] * units["mmhg"]["kpa"] == pytest.approx(row["kpa"], abs=0.005)
        assert row["mmhg"] * units["mmhg"]["cmh2o"] == pytest.approx(row["cmh2o"], abs=0.051)
    for row in units["temperatures"]:
        assert (row["f"] - 32) * 5 / 9 == pytest.approx(row["c"], abs=0.005)


# NIST/SEMATECH e-Handbook 6.3.3.1.
def test_c_chart() -> None:
    chart = FILES["statistics"]["c_chart"]
    mean = sum(chart["counts"]) / len(chart["counts"])
    assert (sum(chart["counts"]), mean) == (chart["sum"], chart["mean"])
    ucl, lcl = mean + 3 * math.sqrt(mean), mean - 3 * math.sqrt(mean)
    assert (ucl, lcl) == (chart["ucl"], chart["lcl"])
    out = [i for i, c in enumerate(chart["counts"], 1) if c > ucl or c < lcl]
    assert out == chart["out"]


# NIST/SEMATECH e-Handbook 6.3.2.4; the printed series rounds each step.
def test_ewma_nist() -> None:
    chart = FILES["statistics"]["ewma_nist"]
    lam = chart["lambda"]
    half = chart["width"] * chart["sigma"] * math.sqrt(lam / (2 - lam))
    assert chart["target"] + half == pytest.approx(chart["ucl"], abs=1e-4)
    assert chart["target"] - half == pytest.approx(chart["lcl"], abs=1e-4)
    z = float(chart["target"])
    for x, printed in zip(chart["x"], chart["z"], strict=True):
        z = round(lam * x + (1 - lam) * z + 1e-9, 2)
        assert z == pytest.approx(printed, abs=0.0101)


# NIST/SEMATECH e-Handbook 6.3.2.3.
def test_cusum_nist() -> None:
    chart = FILES["statistics"]["cusum_nist"]
    high, low = cusum(chart["x"], chart["target"], chart["k"])
    assert high[12:] == pytest.approx(chart["high_from_13"], abs=1e-4)
    at = chart["low_max"]["at"]
    assert max(low) == low[at - 1] == pytest.approx(chart["low_max"]["value"], abs=1e-4)
    assert next(i for i, s in enumerate(high, 1) if s > chart["h"]) == chart["signal"]


# Montgomery's 30 observations; results recomputed.
def test_thirty_observations() -> None:
    chart = FILES["statistics"]["thirty_observations"]
    ewma, lam, z = chart["ewma"], chart["ewma"]["lambda"], float(chart["target"])
    half = ewma["width"] * math.sqrt(lam / (2 - lam))
    assert half == pytest.approx(ewma["half_width"], abs=1e-5)
    signals = []
    for i, x in enumerate(chart["x"], 1):
        z = lam * x + (1 - lam) * z
        if i in ewma["z"]:
            assert z == pytest.approx(ewma["z"][i], abs=1e-5)
        if abs(z - chart["target"]) > half:
            signals.append(i)
    assert signals[0] == ewma["signal"]
    high, _ = cusum(chart["x"], chart["target"], chart["cusum"]["k"])
    for i, value in chart["cusum"]["high"].items():
        assert high[i - 1] == pytest.approx(value, abs=1e-9)
    assert next(i for i, s in enumerate(high, 1) if s > chart["cusum"]["h"]) == 29


def cusum(x: list[float], target: float, k: float) -> tuple[list[float], list[float]]:
    high, low = [0.0], [0.0]
    for value in x:
        high.append(max(0.0, high[-1] + value - target - k))
        low.append(max(0.0, low[-1] + target - k - value))
    return high[1:], low[1:]


# SAS/QC u chart example.
def test_u_chart() -> None:
    chart = FILES["statistics"]["u_chart"]
    mean = chart["defects"] / chart["area"]
    half = 3 * math.sqrt(mean / chart["at_area"])
    assert mean == pytest.approx(chart["mean"], abs=1e-6)
    assert mean + half == pytest.approx(chart["ucl"], abs=1e-6)
    assert mean - half == pytest.approx(chart["lcl_before_clamp"], abs=1e-4)
    assert max(0.0, mean - half) == chart["lcl"]


# Garwood 1936, through the chi-square quantiles.
def test_poisson_exact() -> None:
    table = FILES["statistics"]["poisson_exact"]
    for count, low, high in table["two_sided_95"]:
        assert garwood(count, 0.95) == pytest.approx((low, high), abs=1e-4)
    assert garwood(25, 0.90) == pytest.approx(tuple(table["n_25"]["level_90"]), abs=0.005)
    assert garwood(25, 0.99) == pytest.approx(tuple(table["n_25"]["level_99"]), abs=0.005)
    assert garwood(0, 0.90)[1] == pytest.approx(table["zero_one_sided_95"], abs=5e-4)


def garwood(count: int, level: float) -> tuple[float, float]:
    tail = (1 - level) / 2
    low = stats.chi2.ppf(tail, 2 * count) / 2 if count else 0.0
    return float(low), float(stats.chi2.ppf(1 - tail, 2 * count + 2) / 2)


def test_anscombe() -> None:
    for count, value in FILES["statistics"]["anscombe"]["values"].items():
        assert 2 * math.sqrt(count + 3 / 8) == pytest.approx(value, abs=1e-4)


# Lucas 1985, Tables 2-5: exact run lengths by solving the Markov chain in steps of k.
def test_poisson_cusum_run_length() -> None:
    table = FILES["statistics"]["poisson_cusum_arl"]
    states = round(table["h"] / table["k"])  # S is a multiple of k here
    chance = stats.poisson(table["mean"]).pmf

    def lengths(step: int) -> list[float]:
        moves = np.zeros((states, states))
        for state in range(states):
            for count in range(60):
                end = max(0, state + step * (4 * count - 1))
                if end < states:
                    moves[state, end] += chance(count)
        return list(np.linalg.solve(np.eye(states) - moves, np.ones(states)))

    upper = lengths(1)
    exact = table["upper"]["exact"]
    assert [upper[0], upper[states // 2]] == pytest.approx(exact, abs=1e-2)
    lower = lengths(-1)
    exact = table["lower"]["exact"]
    assert [lower[0], lower[states // 2]] == pytest.approx(exact, abs=1e-2)
