#!/usr/bin/python3
"""Runs the solver benchmark: every program on every mesh size, medians, one table.

usage   run.py OUT.csv [SIZE ...]       sizes: 60k 170k 250k 500k 1M (default: all)
needs   build with -DSTIFLE_BENCHMARKS=ON; calculix-ccx, python3-dolfinx, python3-petsc4py, python3-scipy, openmpi-bin
does    three repeats of each program up to 250 k unknowns; above that one (ours three at 500 k, conjugate gradients one from
        170 k), said in column `repeats`; a program that ends with an error, or takes more memory than there is, is a row with that word
writes  OUT.csv: size, program, phase, dofs, tetrahedra, repeats, wall_s, user_s, peak_mb, iterations (ours: Newton steps of the
        contact, 0 where the cut is bonded; dolfinx: of its linear solver), residual, difference
        (largest displacement difference to the factor of stifle after the best rigid motion, over the largest displacement)
"""
import csv
import json
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile

import numpy as np

SIZES = {"60k": (9, 2.4), "170k": (4.2, 0.95), "250k": (3.3, 0.68), "500k": (2.3, 0.42), "1M": (1.75, 0.29)}
ROOT = pathlib.Path(__file__).resolve().parents[2]
BENCH = os.environ.get("STIFLE_BENCH", str(ROOT / "build/benchmarks/bench_solver_speed"))
ENVIRONMENT = dict(os.environ, OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", OMPI_ALLOW_RUN_AS_ROOT="1",
                   OMPI_ALLOW_RUN_AS_ROOT_CONFIRM="1")
COLUMNS = ["size", "program", "phase", "dofs", "tetrahedra", "repeats", "wall_s", "user_s", "peak_mb", "iterations", "residual",
           "difference"]


def say(text):
    print(text, file=sys.stderr, flush=True)


def lines_of(command, environment=ENVIRONMENT):
    """JSON lines of a program; raises with its last words when it fails."""
    run = subprocess.run(command, env=environment, capture_output=True, text=True)
    if run.returncode != 0:
        words = (run.stderr.strip().splitlines() or ["no message"])[-1]
        raise RuntimeError(f"exit {run.returncode}: {words[:120]}")
    return [json.loads(line) for line in run.stdout.splitlines() if line.startswith("{")]


def difference(folder, name, reference="ours"):
    x = np.fromfile(f"{folder}/points.f64").reshape(-1, 3)
    ours = np.fromfile(f"{folder}/{reference}.f64").reshape(-1, 3)
    theirs = np.fromfile(f"{folder}/{name}.f64").reshape(-1, 3)
    x = x - x.mean(axis=0)
    gap = theirs - ours
    modes = []
    for k in range(3):
        shift = np.zeros_like(x)
        shift[:, k] = 1
        modes += [shift.ravel(), np.cross(shift, x).ravel()]
    modes = np.array(modes).T
    best, *_ = np.linalg.lstsq(modes, gap.ravel(), rcond=None)
    gap = gap - (modes @ best).reshape(-1, 3)
    return np.abs(gap).max() / np.abs(ours).max()


def dolfinx(folder, kind):
    command = ["mpirun", "-n", "2", "--oversubscribe", "/usr/bin/python3", str(ROOT / "benchmarks/solver_speed/dolfinx_job.py"), folder, kind]
    answer = lines_of(command)[-1]
    rows = [{"program": f"dolfinx {kind}", "phase": name, "wall": seconds} for name, seconds in answer["seconds"].items()]
    total = sum(seconds for name, seconds in answer["seconds"].items() if name != "next solve")
    rows.append({"program": f"dolfinx {kind}", "phase": "whole job without stress", "wall": total, "user": answer["user"],
                 "peak_mb": answer["peak_mb"], "iterations": answer["iterations"], "residual": answer["residual"],
                 "dofs": answer["unknowns"], "difference": difference(folder, f"dolfinx_{kind}")})
    return rows


def calculix(folder):
    rows = lines_of([BENCH, "calculix", folder])
    rows[-1]["difference"] = difference(folder, "calculix")
    return rows


def cg(folder):
    rows = lines_of([BENCH, "cg", folder])
    for row in rows:
        for phase, name in {"cg: cut bonded, with stress": "bonded", "cg: first state with stress": "contact"}.items():
            if row["phase"].startswith(phase):
                row["difference"] = difference(folder, f"cg_{name}", f"model_{name}")
    return rows


def jobs_of(size, folder):
    bone, detail = SIZES[size]
    large = size in ("500k", "1M")
    jobs = [("stifle", lambda: lines_of([BENCH, "mesh", folder, str(bone), str(detail)]), 1 if size == "1M" else 3),
            ("stifle", lambda: lines_of([BENCH, "ours", folder]), 1 if size == "1M" else 3),
            ("stifle cg", lambda: cg(folder), 1 if size != "60k" else 3),
            ("calculix", lambda: calculix(folder), 1 if large else 3)]
    if size != "1M":
        jobs.append(("dolfinx direct", lambda: dolfinx(folder, "direct"), 1 if large else 3))
    jobs.append(("dolfinx gamg", lambda: dolfinx(folder, "gamg"), 1 if large else 3))
    return jobs


def medians(size, runs):
    """One row a phase, in the order of the first run."""
    rows = []
    for first in runs[0]:
        same = [r for run in runs for r in run if (r["program"], r["phase"]) == (first["program"], first["phase"])]
        middle = lambda key: statistics.median([r[key] for r in same]) if all(key in r for r in same) else ""
        rows.append({"size": size, "program": first["program"], "phase": first["phase"], "dofs": first.get("dofs", ""),
                     "tetrahedra": first.get("tetrahedra", ""), "repeats": len(runs), "wall_s": middle("wall"),
                     "user_s": middle("user"), "peak_mb": middle("peak_mb"), "iterations": middle("iterations"),
                     "residual": middle("residual"), "difference": middle("difference")})
    return rows


def rows_of(size, folder):
    """Repeats in turn over the programs, so that a machine that slows down slows all of them."""
    jobs = jobs_of(size, folder)
    runs, failed = [[] for _ in jobs], {}
    for repeat in range(max(repeats for _, _, repeats in jobs)):
        for number, (program, job, repeats) in enumerate(jobs):
            if repeat < repeats and number not in failed:
                say(f"{size}: {program} {repeat + 1}/{repeats}")
                try:
                    runs[number].append(job())
                except RuntimeError as error:
                    say(f"{size}: {program}: {error}")
                    failed[number] = {"size": size, "program": program, "phase": str(error), "repeats": len(runs[number])}
    return [row for number in range(len(jobs)) for row in ([failed[number]] if number in failed else medians(size, runs[number]))]


def short(value):
    return f"{float(f'{value:.4g}'):g}" if isinstance(value, float) else value


def main():
    out, sizes = sys.argv[1], sys.argv[2:] or list(SIZES)
    with open(out, "w", newline="") as file:
        table = csv.DictWriter(file, COLUMNS, restval="")
        table.writeheader()
        for size in sizes:
            folder = tempfile.mkdtemp(prefix=f"stifle_speed_{size}_")
            for row in rows_of(size, folder):
                table.writerow({key: short(value) for key, value in row.items()})
            file.flush()
            shutil.rmtree(folder)


main()
