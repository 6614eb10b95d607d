#!/usr/bin/python3
"""Times the meshes of a run: one after the other, side by side, and taken up by a run with another week, load or material.

usage   run.py TABLE.csv        needs build/stifle (or STIFLE); a machine with nothing else to do; about 15 minutes
does    the slopes of scenarios/large_dog.yaml with one state each (stand): --threads 1 and --threads 2 in turn, three times each, into
        folders of their own; then the last folder again with another week, load and material
writes  TABLE.csv: run, meshing_s (from the first mesh begun to the last one ready), sum_s (of the slopes), reused (number of meshes),
        whole_s (of the program), each the median of the repeats
"""
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
plate: {{width_mm: 11, thickness_mm: 3.3, material: {metal}}}
healing: {{weeks: [{week}]}}
study: {{stance_percent: [50], sweep_plateau_deg: [0, 30, 30], samples: 0}}
output: {{fields: none, pictures: false}}
"""


def seconds_of_log(folder):
    """Meshing of each slope, and when its mesh was ready; how many were taken up."""
    ready, spent, reused = [], [], 0
    for line in (folder / "log.txt").read_text().splitlines():
        found = re.search(r"^\s*\[?\s*([\d.]+).*\bmesh\b.*tetrahedra.* ([\d.]+) s(, that of an earlier run)?$", line)
        if found:
            ready.append(float(found[1]))
            spent.append(float(found[2]))
            reused += found[3] is not None
    return ready, spent, reused


def run(folder, threads, **values):
    scenario = folder.parent / (folder.name + ".yaml")
    scenario.write_text(SCENARIO.format(**{"mass": 30, "metal": "steel_316l_cold_worked", "week": 0, **values}))
    (folder / "log.txt").unlink(missing_ok=True)
    start = time.monotonic()
    subprocess.run([STIFLE, "run", str(scenario), "--threads", str(threads), "--out", str(folder)], check=True, capture_output=True)
    whole = time.monotonic() - start
    ready, spent, reused = seconds_of_log(folder)
    begun = min(r - s for r, s in zip(ready, spent))
    return {"meshing_s": max(ready) - begun, "sum_s": sum(spent), "reused": reused, "whole_s": whole}


def main():
    base = pathlib.Path(tempfile.mkdtemp(prefix="stifle_meshing_"))
    runs = {}
    for repeat in range(3):
        for threads in (1, 2):
            folder = base / f"{threads}_{repeat}"
            runs.setdefault(f"{threads} thread{'s' * (threads > 1)}", []).append(run(folder, threads))
    runs["2 threads, another week"] = [run(folder, 2, week=8)]
    runs["2 threads, another load"] = [run(folder, 2, mass=25)]
    runs["2 threads, another material"] = [run(folder, 2, metal="ti_6al_4v")]
    with open(sys.argv[1], "w", newline="") as file:
        table = csv.writer(file)
        table.writerow(["run", "meshing_s", "sum_s", "reused", "whole_s"])
        for name, rows in runs.items():
            table.writerow([name] + [round(statistics.median(row[key] for row in rows), 1) for key in ("meshing_s", "sum_s", "reused", "whole_s")])
    print(open(sys.argv[1]).read())
    shutil.rmtree(base)


main()
