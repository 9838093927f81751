"""Verdicts: nothing wrong passes for right, and nothing stored passes for refused."""

import pytest
from statsmodels.stats.proportion import proportion_confint

from bench.score import Answer, interval, judge, per_hour, same, shares, stores, wrong_values

TRUTH = {"passes": 2, "colour": "white"}


@pytest.mark.parametrize(
    ("answer", "verdict"),
    [
        (Answer("understood", {"passes": 2, "colour": "white"}), "right"),
        (Answer("understood", {"colour": "white", "passes": 2.0}), "right"),
        (Answer("understood", {"passes": 2}), "wrong"),
        (Answer("understood", {"passes": 2, "colour": "white", "amount": "small"}), "wrong"),
        (Answer("understood", {"passes": 3, "colour": "white"}), "wrong"),
        (Answer("ask", {}, ({"passes": 2}, {"passes": 3})), "asked"),
        (Answer("not_understood"), "not_understood"),
        (Answer("understood", {}), "not_understood"),
    ],
)
def test_judge_wants_the_whole_entry(answer, verdict):
    assert judge("entry", [TRUTH], answer) == verdict


def test_judge_accepts_any_of_the_truths():
    assert judge("entry", [TRUTH, {"passes": 3}], Answer("understood", {"passes": 3})) == "right"


@pytest.mark.parametrize("expect", ["ask", "nothing"])
def test_only_silent_storing_is_wrong_where_nothing_was_said(expect):
    assert judge(expect, [], Answer("ask", {}, (TRUTH,))) == "right"
    assert judge(expect, [], Answer("not_understood")) == "right"
    assert judge(expect, [], Answer("understood", {"action": "repeat"})) == "right"
    assert judge(expect, [], Answer("understood", {"colour": "white"})) == "wrong"
    assert judge(expect, [], Answer("understood", {"action": "undo"})) == "wrong"


def test_stores():
    assert stores(Answer("understood", {"action": "finish"}))
    assert stores(Answer("understood", {"action": "help", "colour": "red"}))
    assert not stores(Answer("ask", {"colour": "red"}))


def test_wrong_values_name_truth_and_stored():
    answer = Answer("understood", {"passes": 3, "colour": "white", "spo2": 94})
    assert wrong_values([TRUTH], answer) == {"passes": (2, 3), "spo2": (None, 94)}
    assert wrong_values([TRUTH, {"passes": 3, "spo2": 94}], answer) == {}


def test_same_needs_equal_keys_and_close_numbers():
    assert same({"t": 38.2}, {"t": 38.2000001})
    assert not same({"t": 38.2}, {"t": 38.3})
    assert not same({"t": 38.2}, {"t": "38.2"})


def test_interval_is_wilsons():
    for hits, total in ((8, 10), (0, 40), (40, 40), (1, 7)):
        assert interval(hits, total) == pytest.approx(
            proportion_confint(hits, total, method="wilson"), abs=1e-4
        )
    assert interval(0, 0) == (0.0, 1.0)


def test_shares_sum_to_one():
    out = shares(["right", "right", "asked", "wrong"])
    assert out["n"] == 4
    assert out["right"] == 0.5
    assert out["right"] + out["asked"] + out["not_understood"] + out["wrong"] == 1.0


def test_no_event_in_an_hour_is_not_never():
    # the rule of three: 0 events in 1 h -> at most 3.0 an hour (Hanley, JAMA 1983)
    seen = per_hour(0, 3600)
    assert seen["per_hour"] == 0
    assert seen["per_hour_upper_95"] == pytest.approx(3.0, abs=0.01)
    assert per_hour(3, 1800)["per_hour"] == 6
