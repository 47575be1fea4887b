"""Solids and depth maps of carved pieces, read back by another library.

Run from the root: python tests/oracles/carve_mesh.py (needs tests/oracles/requirements.txt)

Runs `sabulo carve` for each kind of file and checks with trimesh: the solid is watertight and
wound outward, its volume is the blank's less what was carved, its box is the blank's, the scene's is the same in
metres. Exits with 1 and a line where something differs.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

import trimesh


ROOT = Path(__file__).resolve().parents[2]
RUN = ["cargo", "run", "-q", "-p", "sabulo", "--"]
PIECE = ROOT / "examples" / "heron" / "piece.toml"


def carve(run, relief):
    asked = [*run, "carve", str(PIECE), "--grid", "0.1mm", "--relief", str(relief), "--triangles", "2500000", "--json"]
    return json.loads(subprocess.run(asked, check=True, capture_output=True, text=True, cwd=ROOT).stdout)


def off(what, got, want, tolerance):
    share = abs(got / want - 1.0)
    print(f"{what}: {got:.3f} of {want:.3f}, off by {100 * share:.4f} %")
    return share > tolerance


def main(*program):
    wrong = []
    with tempfile.TemporaryDirectory() as folder:
        for kind in ("stl", "glb"):
            path = Path(folder) / f"piece.{kind}"
            told = carve(program or RUN, path)
            read = trimesh.load(path, force="scene")
            (mesh,) = read.geometry.values()
            # STL holds three places a triangle; the reader joins those that are equal.
            mesh.merge_vertices()
            print(f"{kind}: {len(mesh.faces)} triangles, watertight {mesh.is_watertight}, {mesh.euler_number=}")
            whole = mesh.is_watertight and mesh.is_winding_consistent and mesh.euler_number == 2
            wrong += [] if whole else [f"{kind}: not a closed solid"]
            width, height, thickness = mesh.extents
            blank = float(width) * float(height) * float(thickness)
            if off(f"{kind} volume, mm3", mesh.volume, blank - told["carved_mm3"], 1e-3):
                wrong.append(f"{kind}: volume")
            if off(f"{kind} carved, mm3", blank - mesh.volume, told["carved_mm3"], 5e-3):
                wrong.append(f"{kind}: carved volume")
            if kind == "glb":
                # The node scales to metres and turns z up into y up.
                metres = read.extents
                if max(abs(metres - [width / 1e3, thickness / 1e3, height / 1e3])) > 1e-6:
                    wrong.append(f"glb: the scene measures {metres} m")
    for line in wrong:
        print(f"WRONG {line}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
