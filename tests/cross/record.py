"""Asks two independent libraries, SciPy and fluids, for the numbers that tests/conformance/cross.test.ts compares with.

A separate command, because a test run must not need Python:

    apt-get install python3-fluids python3-scipy      # Debian 12: fluids 1.0.22, SciPy 1.10.1
    pnpm run cross:record

Everything is in SI units. The recording names the versions that made it. Pseudo-random inputs come from a fixed seed.
"""

import json
import math
import pathlib
import platform
import random

import fluids
import numpy
import scipy
from fluids import flow_meter, fittings, friction
from scipy.integrate import quad
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

dice = random.Random(20240607)
GAMMA = 1.4
GAS = 287.05287


def pchip():
    """Tables of several shapes, read between their breakpoints."""
    tables = []
    for size in (2, 3, 4, 9, 33, 128):
        for shape in ("rising", "wavy", "flat parts"):
            x = list(numpy.cumsum([dice.uniform(0.05, 3) for _ in range(size)]))
            if shape == "rising":
                y = list(numpy.cumsum([dice.uniform(0.001, 2) for _ in range(size)]))
            elif shape == "wavy":
                y = [dice.uniform(-5, 5) for _ in range(size)]
            else:
                y = [float(round(dice.uniform(0, 3))) for _ in range(size)]
            curve = PchipInterpolator(x, y)
            at = sorted([dice.uniform(x[0], x[-1]) for _ in range(20)] + [x[0], x[-1]])
            tables.append({"shape": shape, "x": x, "y": y, "at": at, "value": [float(curve(p)) for p in at]})
    return tables


def isentropic():
    """Expansion from rest, by quadrature and root finding: none of the closed forms is used except fluids' own."""
    p0, t0 = 101325.0, 288.15
    rho0 = p0 / (GAS * t0)
    volume = lambda p: (p0 / p) ** (1 / GAMMA) / rho0
    flux = lambda p: math.sqrt(2 * quad(volume, p, p0, epsabs=0, epsrel=1e-13)[0]) / volume(p)
    critical = fluids.P_critical_flow(p0, GAMMA)
    rows = []
    for ratio in (0.995, 0.98, 0.95, 0.9, 0.8, 0.7, 0.6, 0.53):
        p = ratio * p0
        temperature = fluids.isentropic_T_rise_compression(t0, p0, p, GAMMA)
        speed = flux(p) * volume(p)
        rows.append(
            {
                "pressureRatio": ratio,
                "massFlux": flux(p),
                "mach": speed / math.sqrt(GAMMA * GAS * temperature),
                "temperatureRatio": temperature / t0,
            }
        )
    solved = []
    for share in (0.1, 0.3, 0.6, 0.9, 0.99):
        wanted = share * flux(critical)
        p = brentq(lambda q: flux(q) - wanted, critical, p0 * (1 - 1e-9), xtol=1e-9, rtol=1e-15)
        temperature = fluids.isentropic_T_rise_compression(t0, p0, p, GAMMA)
        solved.append(
            {"massFlux": wanted, "mach": wanted * volume(p) / math.sqrt(GAMMA * GAS * temperature)}
        )
    return {
        "stagnationPressure": p0,
        "stagnationTemperature": t0,
        "criticalPressureRatio": critical / p0,
        "chokedMassFlux": flux(critical),
        "expansion": rows,
        "solved": solved,
    }


def atmosphere():
    """US Standard Atmosphere 1976 at geometric altitudes; its viscosity is Sutherland's law."""
    rows = []
    for z in (-1000, -300, 0, 150, 500, 1000, 1609.344, 2000, 3000, 4300, 5000, 8000, 10000):
        air = fluids.ATMOSPHERE_1976(z)
        rows.append(
            {
                "geometricAltitude": z,
                "temperature": air.T,
                "pressure": air.P,
                "density": air.rho,
                "speedOfSound": air.v_sonic,
                "viscosity": air.mu,
            }
        )
    return rows


def viscosity():
    """Sutherland's law at temperatures that no altitude of the standard reaches."""
    return [
        {"temperature": t, "viscosity": fluids.ATMOSPHERE_1976.viscosity(t)}
        for t in (233.15, 253.15, 273.15, 288.15, 293.15, 313.15, 333.15, 353.15, 373.15)
    ]


def losses():
    area = lambda d: math.pi / 4 * d * d
    steps = []
    for _ in range(30):
        large = dice.uniform(0.04, 0.12)
        small = large * dice.uniform(0.3, 0.98)
        k = dice.uniform(0.05, 2)
        steps.append(
            {
                "small": area(small),
                "large": area(large),
                "expansion": fittings.diffuser_sharp(Di1=small, Di2=large),
                "contraction": fittings.contraction_sharp(Di1=large, Di2=small, method="Crane"),
                "k": k,
                "kOnSmall": fittings.change_K_basis(K1=k, D1=large, D2=small),
            }
        )
    pipes = []
    for re in (4000, 1e4, 5e4, 1e5, 1e6, 1e7):
        for roughness in (0.0, 1e-5, 1e-4, 1e-3, 1e-2):
            pipes.append(
                {
                    "reynolds": re,
                    "relativeRoughness": roughness,
                    "colebrook": friction.Colebrook(re, roughness, tol=0),
                    "haaland": friction.Haaland(re, roughness),
                }
            )
    return {"steps": steps, "pipes": pipes}


METERS = {
    "orifice, corner taps": ("ISO 5167 orifice", "corner"),
    "orifice, D and D/2 taps": ("ISO 5167 orifice", "D and D/2"),
    "orifice, flange taps": ("ISO 5167 orifice", "flange"),
    "ISA 1932 nozzle": ("ISA 1932 nozzle", None),
    "long radius nozzle": ("long radius nozzle", None),
    "machined venturi tube": ("machined convergent venturi tube", None),
}


def meters():
    rows = []
    for ours, (theirs, taps) in METERS.items():
        for _ in range(8):
            bore = dice.uniform(0.05, 0.2)
            throat = bore * dice.uniform(0.42, 0.74)
            p1, drop = dice.uniform(90e3, 105e3), dice.uniform(500, 12e3)
            rho, mu = dice.uniform(1.0, 1.3), dice.uniform(1.7e-5, 1.95e-5)
            m = fluids.differential_pressure_meter_solver(
                D=bore, D2=throat, P1=p1, P2=p1 - drop, rho=rho, mu=mu, k=GAMMA, meter_type=theirs, taps=taps
            )
            c, eps = flow_meter.differential_pressure_meter_C_epsilon(
                D=bore, D2=throat, m=m, P1=p1, P2=p1 - drop, rho=rho, mu=mu, k=GAMMA, meter_type=theirs, taps=taps
            )
            row = {
                "kind": ours,
                "diameter": bore,
                "throat": throat,
                "upstreamPressure": p1,
                "drop": drop,
                "density": rho,
                "viscosity": mu,
                "massFlow": m,
                "reynolds": 4 * m / (math.pi * bore * mu),
                "dischargeCoefficient": c,
                "expansibility": eps,
            }
            if ours.startswith("orifice"):
                row["permanentLoss"] = flow_meter.dP_orifice(D=bore, Do=throat, P1=p1, P2=p1 - drop, C=c)
            rows.append(row)
    return rows


recording = {
    "made by": {
        "python": platform.python_version(),
        "numpy": numpy.__version__,
        "scipy": scipy.__version__,
        "fluids": fluids.__version__,
    },
    "pchip": pchip(),
    "isentropic": isentropic(),
    "atmosphere": atmosphere(),
    "viscosity": viscosity(),
    "losses": losses(),
    "meters": meters(),
}
out = pathlib.Path(__file__).parent.parent / "data" / "cross" / "recorded.json"
out.parent.mkdir(exist_ok=True)
out.write_text(json.dumps(recording, allow_nan=False) + "\n")
print(f"{out.name}: {recording['made by']}")
