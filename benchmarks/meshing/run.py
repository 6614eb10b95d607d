#!/usr/bin/python3
"""Times the meshes of a run: one after the other, two at a time, and taken up by a run with another week, load or material.

usage   run.py TABLE.csv        needs build/stifle (or STIFLE); a machine with nothing else to do; about 5 minutes
does    a run of the slopes of scenarios/large_dog.yaml with one state each (stand); each of its meshes again in a process of its own, as
        a run does it, one after the other and two at a time in turn, three times each; then the run again in the same folder with
        another week, load and material, and with another thickness of the plate
writes  TABLE.csv: what, seconds (median), meshes made, meshes taken up
"""
import concurrent.futures
import csv
import os
import pathlib
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
STIFLE = os.environ.get("STIFLE", str(ROOT / "build/stifle"))
SCENARIO = """dog: {{name: large dog, mass_kg: {mass}, limb: right}}
tibia: {{length_mm: 200, plateau_angle_deg: 25, tuberosity_width_mm: 10.8}}
levelling: {{plateau_angles_deg: [15, 10, 6, 0], saw_radius_mm: 24}}
activities: [stand]
plate: {{width_mm: 11, thickness_mm: {thickness}, material: {metal}}}
healing: {{weeks: [{week}]}}
study: {{stance_percent: [50], sweep_plateau_deg: [0, 30, 30], samples: 0}}
output: {{fields: none, pictures: false}}
"""


def run(folder, **values):
    """Meshes made and taken up, and the seconds that went into them."""
    scenario = folder.parent / "scenario.yaml"
    scenario.write_text(SCENARIO.format(**{"mass": 30, "metal": "steel_316l_cold_worked", "week": 0, "thickness": 3.3, **values}))
    (folder / "log.txt").unlink(missing_ok=True)
    subprocess.run([STIFLE, "run", str(scenario), "--threads", "2", "--out", str(folder)], check=True, capture_output=True)
    meshes = re.findall(r"\] mesh .* ([\d.]+) s(, that of an earlier run)?$", (folder / "log.txt").read_text(), re.MULTILINE)
    taken = sum(bool(earlier) for _, earlier in meshes)
    return sum(float(seconds) for seconds, _ in meshes), len(meshes) - taken, taken


def meshed_again(folder, at_once):
    """Seconds for all meshes of a finished run, so many processes at a time."""
    with tempfile.TemporaryDirectory() as place:
        requests = []
        for mesh in sorted((folder / "meshes").glob("*.mesh")):
            requests.append(pathlib.Path(place) / (mesh.stem + ".yaml"))
            shutil.copy(folder / "scenario.yaml", requests[-1])
        start = time.monotonic()
        with concurrent.futures.ThreadPoolExecutor(at_once) as pool:
            list(pool.map(lambda request: subprocess.run([STIFLE, "mesh-slope", str(request)], check=True, capture_output=True), requests))
        return time.monotonic() - start, len(requests), 0


def main():
    base = pathlib.Path(tempfile.mkdtemp(prefix="stifle_meshing_"))
    folder = base / "out"
    rows = {"in a run, sum over its slopes": [run(folder)]}
    for _ in range(3):
        for at_once, name in ((1, "one after the other"), (2, "two at a time")):
            rows.setdefault(name, []).append(meshed_again(folder, at_once))
    rows["run again, another week"] = [run(folder, week=8)]
    rows["run again, another load"] = [run(folder, mass=25)]
    rows["run again, another material"] = [run(folder, metal="ti_6al_4v")]
    rows["run again, another plate thickness"] = [run(folder, thickness=3.6)]
    with open(sys.argv[1], "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["what", "seconds", "meshes_made", "meshes_taken_up"])
        for name, values in rows.items():
            table.writerow([name, round(statistics.median(value[0] for value in values), 2), *values[0][1:]])
    print(open(sys.argv[1]).read())
    shutil.rmtree(base)


main()
