"""The exponentially weighted moving average and how far it strays by chance.

Source: NIST/SEMATECH e-Handbook 6.3.2.4; Lucas & Saccucci, Technometrics
1990;32:1-12.  The factor for correlated scores is that of a first-order
autoregression.
"""

from math import inf, sqrt


def ewma(before: float, score: float, weight: float) -> float:
    """Return the average after one more score."""
    return (1 - weight) * before + weight * score


def deviation(sd: float, weight: float, likeness: float = 0.0, learned_from: float = inf) -> float:
    """Return the standard deviation of the average about the learned centre.

    Args:
        sd: standard deviation of one score.
        weight: lambda.
        likeness: correlation of neighbouring scores, 0 for independent ones.
        learned_from: scores that the centre was learned from.

    """
    keep = likeness * (1 - weight)
    average = weight / (2 - weight) * (1 + keep) / (1 - keep)
    centre = (1 + likeness) / (1 - likeness) / learned_from
    return sd * sqrt(average + centre)
