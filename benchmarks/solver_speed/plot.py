#!/usr/bin/python3
"""Draws the parts of the time against the unknowns, and prints the slope of each part.

usage   plot.py TABLE.csv PICTURE.png      (table of run.py; python3-matplotlib)
slope   p of seconds = a * unknowns^p, least squares in logarithms over all sizes of the table
"""
import csv
import sys

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

OURS = {"mesh": "mesh", "bonded: assemble": "assemble", "bonded: analyse": "analyse", "bonded: factor": "factor",
        "bonded: first state with stress": "first state with stress", "contact: next state with stress": "next contact state",
        "bonded: next displacement in a block of 32": "next displacement, block of 32"}
PEERS = {("calculix", "whole job"): "CalculiX, whole job", ("dolfinx direct", "whole job without stress"): "dolfinx direct, without stress",
         ("dolfinx gamg", "whole job without stress"): "dolfinx GAMG, without stress",
         ("stifle", "bonded: assembly to first state"): "stifle, assembly to first state"}


def series(rows, program, phase, unknowns):
    points = [(unknowns[r["size"]], float(r["wall_s"])) for r in rows if (r["program"], r["phase"]) == (program, phase) and r["wall_s"]]
    return np.array(sorted(points)).T if len(points) > 1 else None


def draw(axes, rows, wanted, unknowns):
    for (program, phase), name in wanted.items():
        line = series(rows, program, phase, unknowns)
        if line is None:
            continue
        slope = np.polyfit(np.log(line[0]), np.log(line[1]), 1)[0]
        print(f"{name}: slope {slope:.2f} over {len(line[0])} sizes")
        axes.loglog(line[0], line[1], "o-", label=f"{name} ({slope:.2f})")
    axes.set_xlabel("unknowns")
    axes.grid(True, which="both", alpha=0.3)
    axes.legend(fontsize=8, title="part (slope)", title_fontsize=8)


def main():
    rows = list(csv.DictReader(open(sys.argv[1])))
    unknowns = {r["size"]: float(r["dofs"]) for r in rows if r["phase"] == "bonded: assembly to first state" and r["dofs"]}
    rows = [r for r in rows if r["size"] in unknowns]
    figure, (left, right) = plt.subplots(1, 2, figsize=(12, 5.5), sharey=True)
    draw(left, rows, {("stifle", phase): name for phase, name in OURS.items()}, unknowns)
    draw(right, rows, PEERS, unknowns)
    left.set_ylabel("wall seconds")
    left.set_title("parts of stifle")
    right.set_title("whole bonded job")
    figure.tight_layout()
    figure.savefig(sys.argv[2], dpi=110)


main()
