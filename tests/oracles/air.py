"""Friction and moist air against general libraries, 1000 random cases of each kind.

Run from the root: python tests/oracles/air.py (needs tests/oracles/requirements.txt)

* friction, hose: `fluids` (Colebrook solved exactly; isothermal compressible flow, its density that of the inlet).
  The same equations, so 1e-6.
* saturation, dew point: psychrolib (the formulas of ASHRAE 2017).
* condensate, released: CoolProp's humid air, a real gas. Ours is an ideal mixture, which leaves out that pressure
  raises what stays as vapour by 1 to 4 % at 3 to 10 bar (the enhancement factor); what is allowed stands beside
  each kind.

Prints the worst case of each kind; exits with 1 above what is allowed.
"""

import json
import math
import random
import subprocess
import sys
from pathlib import Path

import fluids
import psychrolib
from CoolProp.HumidAirProp import HAPropsSI

ROOT = Path(__file__).resolve().parents[2]
RUN = ["cargo", "run", "-q", "-p", "air", "--example", "air_oracle"]
CASES = 1000
R, T, MU = 287.05, 293.15, 1.813e-5
psychrolib.SetUnitSystem(psychrolib.SI)


def log_uniform(rng, low, high):
    return math.exp(rng.uniform(math.log(low), math.log(high)))


def friction(rng):
    # Laminar below 2300 and turbulent from 4000; between them no formula holds, and libraries differ.
    laminar = rng.random() < 0.1
    reynolds = log_uniform(rng, 10, 2000) if laminar else log_uniform(rng, 4000, 1e7)
    roughness = rng.choice([0.0, log_uniform(rng, 1e-6, 0.05)])
    want = 64 / reynolds if laminar else fluids.friction.Colebrook(reynolds, roughness, tol=-1)
    return {"reynolds": reynolds, "roughness": roughness}, want


def off_friction(answer, want, case):
    return answer["factor"] / want - 1


def hose(rng):
    """The library's own direction: flow between two pressures, its friction factor iterated."""
    while True:
        bore, length = log_uniform(rng, 4e-3, 50e-3), log_uniform(rng, 1, 100)
        roughness, k = rng.choice([1.5e-6, 46e-6]), rng.choice([0.0, rng.uniform(0, 20)])
        inlet = rng.uniform(1.5e5, 12e5)
        outlet = inlet * (1 - log_uniform(rng, 0.002, 0.5))
        factor = 0.02
        for _ in range(60):
            # Fittings as the length of hose that loses as much.
            as_length = length + k * bore / factor
            flow = fluids.isothermal_gas(inlet / (R * T), factor, P1=inlet, P2=outlet, L=as_length, D=bore)
            reynolds = 4 * flow / (math.pi * bore * MU)
            factor = fluids.friction.Colebrook(max(reynolds, 4000), roughness / bore, tol=-1)
        # Below Re 4000 no formula holds; near choking the outlet hangs on the last digit of the flow.
        if reynolds < 4000 or outlet < 1.02 * flow / (math.pi * bore**2 / 4) * math.sqrt(R * T) or outlet < 2e4:
            continue
        case = {"bore_mm": bore * 1e3, "length_m": length, "roughness_mm": roughness * 1e3, "k": k}
        return case | {"inlet_pa": inlet, "flow_kg_s": flow}, outlet


def off_hose(answer, want, case):
    return (answer["outlet_pa"] - want) / (case["inlet_pa"] - want)


def saturation(rng):
    celsius = rng.uniform(0.1, 80)
    return {"celsius": celsius}, psychrolib.GetSatVapPres(celsius)


def off_saturation(answer, want, case):
    return answer["pa"] / want - 1


def air(rng):
    site = rng.uniform(70e3, 104e3)
    return {"site_pa": site, "inlet_c": rng.uniform(2, 40), "humidity": rng.uniform(0.2, 1.0)}


def dew_point(rng):
    case = air(rng) | {"gauge_pa": rng.uniform(1e5, 10e5)}
    vapour = psychrolib.GetVapPresFromRelHum(case["inlet_c"], case["humidity"])
    compressed = vapour * (1 + case["gauge_pa"] / case["site_pa"])
    # psychrolib wants a dry bulb above the dew point.
    return case, psychrolib.GetTDewPointFromVapPres(150, compressed)


def off_kelvins(answer, want, case):
    return answer["celsius"] - want


def condensate(rng):
    case = air(rng) | {"gauge_pa": rng.uniform(2e5, 10e5), "cooled_c": rng.uniform(3, 45), "l_min": rng.uniform(20, 2000)}
    kelvins, p = case["inlet_c"] + 273.15, case["site_pa"]
    into = HAPropsSI("W", "T", kelvins, "P", p, "R", case["humidity"])
    dry = case["l_min"] / 6e4 / HAPropsSI("Vda", "T", kelvins, "P", p, "R", case["humidity"])
    left = HAPropsSI("W", "T", case["cooled_c"] + 273.15, "P", p + case["gauge_pa"], "R", 1.0)
    # What pressure adds to the vapour that stays, and what ideal gas costs at the inlet.
    return case, (dry * max(0.0, into - left), dry * (0.04 * left + 0.006 * into))


def off_condensate(answer, want, case):
    fallen, allowed = want
    return (answer["kg_s"] - fallen) / allowed


def released(rng):
    case = {"dew_c": rng.uniform(2, 45), "from_pa": rng.uniform(3e5, 11e5), "to_pa": rng.uniform(90e3, 104e3)}
    ratio = HAPropsSI("W", "T", case["dew_c"] + 273.15, "P", case["from_pa"], "R", 1.0)
    want = HAPropsSI("D", "T", 330.0, "P", case["to_pa"], "W", ratio) - 273.15
    return case, want


KINDS = [
    # name, cases, deviation, allowed, unit, against what
    ("friction", friction, off_friction, 1e-6, "relative", "fluids, Colebrook"),
    ("hose", hose, off_hose, 1e-6, "of the drop", "fluids, isothermal_gas"),
    ("saturation", saturation, off_saturation, 1e-3, "relative", "psychrolib; Buck's formula is within 0.1 %"),
    ("dew_point", dew_point, off_kelvins, 0.1, "K", "psychrolib; 0.1 % of vapour pressure"),
    ("condensate", condensate, off_condensate, 1.0, "of 4 % of what stays and 0.6 % of what is drawn in", "CoolProp"),
    ("released", released, off_kelvins, 0.6, "K", "CoolProp; enhancement factor left out"),
]


def main():
    failed = False
    for name, make, off, allowed, unit, against in KINDS:
        rng = random.Random(f"air {name}")
        cases = [make(rng) for _ in range(CASES)]
        lines = "".join(json.dumps({"kind": name} | case) + "\n" for case, _ in cases)
        done = subprocess.run(RUN, input=lines, capture_output=True, text=True, cwd=ROOT, check=True)
        answers = [json.loads(line) for line in done.stdout.splitlines()]
        assert len(answers) == CASES, f"{name}: {len(answers)} answers"
        refused = [(answer, case) for answer, (case, _) in zip(answers, cases) if "refused" in answer]
        assert not refused, f"{name}: {refused[0]}"
        offs = [abs(off(answer, want, case)) for answer, (case, want) in zip(answers, cases)]
        worst = max(range(CASES), key=lambda i: offs[i] if offs[i] == offs[i] else math.inf)
        holds = offs[worst] <= allowed
        failed |= not holds
        print(f"{name}: {CASES} cases, worst {offs[worst]:.3g} {unit}, {allowed:g} allowed ({against})", end="")
        print("" if holds else f": TOO FAR at {cases[worst]}, answered {answers[worst]}")
    sys.exit(failed)


if __name__ == "__main__":
    main()
