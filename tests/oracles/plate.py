"""Bending of panes against finite elements: stress and sinking over a sweep of sides, supports, loads.

Run from the root: python tests/oracles/plate.py (needs tests/oracles/requirements.txt)

Asks `sabulo safety plate --json` and solves the same pane with scikit-fem: Kirchhoff's plate on bicubic
Hermite elements (Bogner, Fox, Schmit), mesh lines along the patch. The greatest principal moment anywhere
on the plate is compared, so that a worse place than the one we name would show. Exits with 1 where
stress or sinking is off by more than 1 %.
"""

import json
import subprocess
import sys

import numpy as np
from skfem import Basis, BilinearForm, ElementQuadBFS, LinearForm, MeshQuad, condense, solve
from skfem.helpers import dd, ddot, eye, trace

RUN = ["cargo", "run", "-q", "-p", "sabulo", "--"]
MODULUS = {"float_glass": (70e9,), "borosilicate": (64e9,), "lead_crystal": (60e9,)}
THICKNESS = 0.010
TOLERANCE = 0.01
CELLS = 20


def lines(length, patch):
    """Mesh lines along one side, with lines on the edges of the patch in the middle."""
    if patch is None:
        return np.linspace(0, length, CELLS + 1)
    low, high = 0.5 * (length - patch), 0.5 * (length + patch)
    # Finer under the patch, where the moment bends most.
    side = np.linspace(0, low, CELLS // 2 + 1)
    return np.unique(np.concatenate([side, np.linspace(low, high, 9), length - side]))


def edge_lines(length, patch):
    """The same with the patch at the near edge."""
    return np.unique(np.concatenate([np.linspace(0, patch, 9), np.linspace(patch, length, CELLS + 1)]))


def moments(width, height, modulus, poisson, supports, load, at_edge=False):
    """Greatest principal moment and sinking; `load` is (pressure, patch edge or None)."""
    pressure, patch = load
    across = edge_lines if at_edge else lines
    xs = lines(width, patch) if supports != "top_and_bottom" else across(width, patch)
    ys = across(height, patch) if supports == "left_and_right" else lines(height, patch)
    mesh = MeshQuad.init_tensor(xs, ys)
    basis = Basis(mesh, ElementQuadBFS(), intorder=6)
    rigidity = modulus * THICKNESS**3 / (12 * (1 - poisson**2))

    def bent(h):
        return rigidity * ((1 - poisson) * h + poisson * eye(trace(h), 2))

    @BilinearForm
    def stiffness(u, v, _):
        return ddot(bent(dd(u)), dd(v))

    def box(length, low):
        if patch is None:
            return 0.0, length
        return (0.0, patch) if low else (0.5 * (length - patch), 0.5 * (length + patch))

    x0, x1 = box(width, at_edge and supports == "top_and_bottom")
    y0, y1 = box(height, at_edge and supports == "left_and_right")

    @LinearForm
    def pushed(v, w):
        x, y = w.x
        return pressure * ((x > x0) & (x < x1) & (y > y0) & (y < y1)) * v

    fixed = []
    sides = {"left": lambda x: np.isclose(x[0], 0), "right": lambda x: np.isclose(x[0], width),
             "bottom": lambda x: np.isclose(x[1], 0), "top": lambda x: np.isclose(x[1], height)}
    held = {"four_sides": sides, "four_clamped": sides, "left_and_right": ["left", "right"],
            "top_and_bottom": ["bottom", "top"]}[supports]
    for name in held:
        dofs = basis.get_dofs(mesh.facets_satisfying(sides[name]))
        along = "u_y" if name in ("left", "right") else "u_x"
        names = ["u", "u_x", "u_y", "u_xy"] if supports == "four_clamped" else ["u", along]
        fixed += [dofs.all(one) for one in names]
    u = solve(*condense(stiffness.assemble(basis), pushed.assemble(basis), D=np.unique(np.concatenate(fixed))))

    # Moments at the corners of every element, the mean of the elements that meet there.
    local = np.array([[0.0, 1.0, 1.0, 0.0], [0.0, 0.0, 1.0, 1.0]])
    corners = Basis(mesh, ElementQuadBFS(), quadrature=(local, np.ones(4)))
    hessian = corners.interpolate(u).hess
    m = bent(hessian)
    places = np.round(corners.global_coordinates().value, 9)
    keys, index = np.unique(places.reshape(2, -1).T, axis=0, return_inverse=True)
    index = index.ravel()
    count = np.bincount(index)
    mean = [np.bincount(index, weights=m[i][j].ravel()) / count for i, j in ((0, 0), (1, 1), (0, 1))]
    middle, radius = 0.5 * (mean[0] + mean[1]), np.hypot(0.5 * (mean[0] - mean[1]), mean[2])
    nodal = u[basis.nodal_dofs[0]]
    return max(np.abs(middle + radius).max(), np.abs(middle - radius).max()), np.abs(nodal).max()


def ours(run, width, height, material, supports, option):
    asked = [*run, "safety", "plate", "--width", f"{width}m", "--height", f"{height}m", "--thickness", "10mm",
             "--material", material, "--supports", supports, *option, "--json"]
    answer = subprocess.run(asked, capture_output=True, text=True)
    if answer.returncode not in (0, 3):
        raise SystemExit(answer.stderr)
    (load,) = json.loads(answer.stdout)["loads"]
    return load["stress_mpa"] * 1e6, load["sinking_mm"] * 1e-3


def cases():
    poisson = {"float_glass": 0.2, "borosilicate": 0.2, "lead_crystal": 0.22}
    for supports in ("four_sides", "four_clamped", "left_and_right", "top_and_bottom"):
        for width, height in ((0.6, 0.6), (0.9, 0.6), (0.5, 1.0), (1.5, 0.5), (0.3, 0.31)):
            material = ("float_glass", "borosilicate", "lead_crystal")[int(width * 10) % 3]
            yield supports, width, height, material, poisson[material], None
            for patch in (0.1, 0.05):
                yield supports, width, height, material, poisson[material], patch


def main(*program):
    worst, wrong, count = {}, [], 0
    for supports, width, height, material, poisson, patch in cases():
        modulus = MODULUS[material][0]
        load = (500.0 / patch**2, patch) if patch else (1000.0, None)
        option = ["--push", "500N", "--patch", f"{patch}m"] if patch else ["--wind", "1kPa"]
        stress, sinking = ours(program or RUN, width, height, material, supports, option)
        found = [moments(width, height, modulus, poisson, supports, load)]
        if patch and supports in ("left_and_right", "top_and_bottom"):
            found.append(moments(width, height, modulus, poisson, supports, load, at_edge=True))
        moment, sunk = max(one[0] for one in found), max(one[1] for one in found)
        kind = f"{supports}, {'patch' if patch else 'even'}"
        for what, have, want in (("stress", stress, 6 * moment / THICKNESS**2), ("sinking", sinking, sunk)):
            off = abs(have / want - 1)
            count += 1
            worst[kind, what] = max(worst.get((kind, what), 0.0), off)
            if off > TOLERANCE:
                wrong.append(f"{kind} {width} x {height}, patch {patch}: {what} {have:.6g}, elements {want:.6g}, off {off:.2%}")
    for (kind, what), off in worst.items():
        print(f"{kind:28} {what:8} worst {off:.3%}")
    print(f"{count} figures")
    for line in wrong:
        print(f"WRONG {line}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
