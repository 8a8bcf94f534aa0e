"""Quantiles and distribution functions to 17 digits, computed with mpmath at 50 digits.

Usage: python3 distributions.py > ../distributions-mpmath.json
Recorded with Python 3.11 and the mpmath and SciPy versions written into the file.
"""
import json
import mpmath as mp
import scipy
from scipy import stats

mp.mp.dps = 50


def t_cdf(t, v):
    x = v / (v + t * t)
    tail = mp.betainc(v / 2, mp.mpf(1) / 2, 0, x, regularized=True) / 2
    return tail if t < 0 else 1 - tail


def chi2_cdf(x, v):
    return mp.gammainc(v / 2, 0, x / 2, regularized=True)


def f_cdf(x, a, b):
    return mp.betainc(a / 2, b / 2, 0, a * x / (a * x + b), regularized=True)


def solve(cdf, p, guess):
    # SciPy's value is only the start of the search; the 50-digit function decides.
    p = mp.mpf(p)
    return mp.findroot(lambda x: cdf(x) - p, mp.mpf(float(guess)))


out = {"mpmath": mp.__version__, "scipy": scipy.__version__}
P = ["1e-12", "0.00001", "0.005", "0.025", "0.05", "0.3", "0.5", "0.75", "0.9", "0.95", "0.975", "0.995", "0.9999"]
out["normal"] = [
    {"p": float(p), "z": float(solve(lambda z: mp.ncdf(z), p, stats.norm.ppf(float(p))))} for p in P
]
out["t"] = [
    {"p": float(p), "v": v, "t": float(solve(lambda t: t_cdf(t, mp.mpf(v)), p, stats.t.ppf(float(p), v)))}
    for p in P for v in [1, 2, 3, 4, 5.5, 10, 30, 200] if p != "0.5" and not (p == "1e-12" and v < 3)
]
out["chi2"] = [
    {"p": float(p), "v": v, "x": float(solve(lambda x: chi2_cdf(x, mp.mpf(v)), p, stats.chi2.ppf(float(p), v)))}
    for p in P[1:] for v in [1, 2, 3, 7.5, 10, 60]
]
out["f"] = [
    {"p": float(p), "a": a, "b": b,
     "x": float(solve(lambda x: f_cdf(x, mp.mpf(a), mp.mpf(b)), p, stats.f.ppf(float(p), a, b)))}
    for p in P[2:] for a, b in [(1, 5), (3, 10), (4, 4), (12, 30.5), (2, 100)]
]
out["normalCdf"] = [{"z": z, "p": float(mp.ncdf(mp.mpf(z)))} for z in [-30, -10, -5, -2, -1.25, -1, -0.3, 0, 0.5, 1, 2, 4, 7]]
out["logGamma"] = [{"x": x, "y": float(mp.loggamma(mp.mpf(x)))} for x in [1e-5, 0.1, 0.5, 1, 1.5, 2, 3.7, 9.99, 10, 55.5, 1000]]
print(json.dumps(out, indent=0))
