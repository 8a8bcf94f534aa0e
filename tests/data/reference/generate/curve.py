"""Curves evaluated, and straight lines fitted, by SciPy: PCHIP, its inverse's residual, piecewise-linear readings,
isotonic fits, and the smallest largest error of straight lines on fixed breakpoints by linear programming (HiGHS).

Usage: python3 curve.py > ../curve-scipy.json
Recorded with the Python, NumPy and SciPy versions written into the file. Input data are random with a fixed seed and
are no measurements.
"""
import json
import platform

import numpy as np
import scipy
from scipy.interpolate import PchipInterpolator
from scipy.optimize import isotonic_regression, linprog

rng = np.random.default_rng(20)


def full(values):
    return [float(v) for v in values]


def reading(n, rising):
    x = np.cumsum(rng.lognormal(-1, 1.2, n))
    y = np.cumsum(rng.lognormal(-2, 1.5, n)) if rising else rng.normal(size=n)
    at = np.sort(rng.uniform(x[0], x[-1], 40))
    p = PchipInterpolator(x, y)
    return {
        "x": full(x), "y": full(y), "at": full(at), "pchip": full(p(at)),
        "pchip_derivative": full(p.derivative()(at)), "linear": full(np.interp(at, x, y)),
    }


def isotonic(n):
    y = rng.normal(size=n) + np.linspace(0, 3, n)
    w = rng.lognormal(0, 1, n)
    return {"y": full(y), "w": full(w), "fit": full(isotonic_regression(y, weights=w).x)}


def least_error(x, y, axis, relative):
    """Exact for a piecewise-linear target: errors are extreme at the corners of target and fit."""
    t = np.union1d(x[(x > axis[0]) & (x < axis[-1])], axis)
    f = np.interp(t, x, y)
    k = np.clip(np.searchsorted(axis, t, side="right") - 1, 0, len(axis) - 2)
    share = (t - axis[k]) / (axis[k + 1] - axis[k])
    scale = np.abs(f) if relative else np.ones_like(f)
    rows = np.zeros((len(t), len(axis) + 1))
    rows[np.arange(len(t)), k] = 1 - share
    rows[np.arange(len(t)), k + 1] += share
    upper, lower = rows.copy(), -rows
    upper[:, -1] = lower[:, -1] = -scale
    result = linprog(
        [0] * len(axis) + [1], A_ub=np.vstack([upper, lower]), b_ub=np.concatenate([f, -f]),
        bounds=[(None, None)] * len(axis) + [(0, None)], method="highs-ds",
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )
    assert result.status == 0
    return float(result.x[-1])


def lines(kind, relative):
    x = np.concatenate([[1.0], 1 + np.cumsum(rng.uniform(0.02, 0.12, 63))])
    if kind == "hot wire":
        y = ((x**2 - 0.4) / 1.7) ** (1 / 0.45)
    elif kind == "measured":  # the same with a percent of scatter, still rising
        y = np.maximum.accumulate(((x**2 - 0.4) / 1.7) ** (1 / 0.45) * (1 + rng.normal(0, 0.01, 64)))
        y += 1e-6 * np.arange(64)
    elif kind == "falling":
        y = 4000 * np.exp(-x) + 30
    else:  # wavy
        y = 2 + np.sin(2.3 * x) + 0.1 * rng.normal(size=64)
    axis = np.concatenate([[x[0]], np.sort(rng.choice(np.arange(2, 62), 18, replace=False) * (x[-1] - x[0]) / 63 + x[0]),
                           [x[-1]]])
    return {"kind": kind, "relative": relative, "x": full(x), "y": full(y), "axis": full(axis),
            "least": least_error(x, y, axis, relative)}


print(json.dumps({
    "versions": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__},
    "readings": [reading(n, rising) for n in (2, 3, 4, 12, 60) for rising in (True, False)],
    "isotonic": [isotonic(n) for n in (1, 5, 40)],
    "lines": [lines(kind, relative) for kind in ("hot wire", "measured", "falling", "wavy")
              for relative in (True, False)],
}))
