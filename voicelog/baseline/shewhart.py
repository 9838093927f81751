"""Plain control limits, to stand beside the charts that remember.

Limits are clamped at zero; a point *on* a limit is within it.

Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.1.
"""

from math import sqrt


def c_limits(mean: float, sigmas: float = 3.0) -> tuple[float, float]:
    """Return lower and upper limit of a count with this mean."""
    return u_limits(mean, 1.0, sigmas)


def u_limits(rate: float, exposure: float, sigmas: float = 3.0) -> tuple[float, float]:
    """Return lower and upper limit of a rate per unit of exposure."""
    half = sigmas * sqrt(rate / exposure)
    return max(0.0, rate - half), rate + half
