#!/usr/bin/python3
"""Prints the tables of the README from the table of run.py.

usage   table.py TABLE.csv
"""
import csv
import sys

FIRST = "bonded: assembly to first state"
NEXT = "bonded: next displacement in a block of 32"
SEVENTY_TWO = "contact: 72 states with friction and stress, 2 threads"
PHASES = [("mesh", "stifle", "mesh", "wall_s"), ("read", "stifle", "read", "wall_s"), ("assemble", "stifle", "bonded: assemble", "wall_s"),
          ("analyse (what is left of it after the assembly)", "stifle", "bonded: analyse", "wall_s"),
          ("factor", "stifle", "bonded: factor", "wall_s"),
          ("state with stress, after the factor", "stifle", "bonded: first state with stress", "wall_s"),
          ("**assembly to first state**", "stifle", FIRST, "wall_s"), ("user seconds of it", "stifle", FIRST, "user_s"),
          ("residual of it", "stifle", FIRST, "residual"), ("next state with stress", "stifle", "bonded: next state with stress", "wall_s"),
          ("next displacement, block of 32", "stifle", NEXT, "wall_s"),
          ("contact model: assembly to factor", "stifle", "contact: assembly to factor", "wall_s"),
          ("first contact state with stress", "stifle", "contact: first state with stress", "wall_s"),
          ("next contact state with stress", "stifle", "contact: next state with stress", "wall_s"),
          ("Newton steps of the next one", "stifle", "contact: next state with stress", "iterations"),
          ("**72 states, friction, stress** (2 threads)", "stifle", SEVENTY_TWO, "wall_s"),
          ("peak memory, bonded job, MB", "stifle", "bonded: first state with stress", "peak_mb"),
          ("peak memory with contact, MB", "stifle", SEVENTY_TWO, "peak_mb"),
          ("cg: cut bonded, with assembly and stress", "stifle", "cg: cut bonded, with stress", "wall_s"),
          ("cg: difference to the factor", "stifle", "cg: cut bonded, with stress", "difference"),
          ("cg: first contact state", "stifle", "cg: first state with stress", "wall_s"),
          ("cg: difference to the factor, contact", "stifle", "cg: first state with stress", "difference"),
          ("cg: peak memory, MB", "stifle", "cg: next state with stress", "peak_mb"),
          ("**CalculiX, whole job**", "calculix", "whole job", "wall_s"), ("user seconds of it", "calculix", "whole job", "user_s"),
          ("its peak memory, MB", "calculix", "whole job", "peak_mb"), ("difference to ours", "calculix", "whole job", "difference")]
for kind in ("direct", "gamg"):
    whole = "whole job without stress"
    PHASES += [(f"dolfinx {kind}, whole job", f"dolfinx {kind}", whole, "wall_s"),
               (f"dolfinx {kind}, next solve", f"dolfinx {kind}", "next solve", "wall_s"),
               (f"dolfinx {kind}, iterations", f"dolfinx {kind}", whole, "iterations"),
               (f"dolfinx {kind}, peak memory of both, MB", f"dolfinx {kind}", whole, "peak_mb"),
               (f"dolfinx {kind}, difference to ours", f"dolfinx {kind}", whole, "difference")]


def main():
    rows = list(csv.DictReader(open(sys.argv[1])))
    sizes = list(dict.fromkeys(r["size"] for r in rows))
    of = {(r["size"], r["program"], r["phase"]): r for r in rows}

    def value(size, program, phase, column):
        return of.get((size, program, phase), {}).get(column, "") or ""

    def line(name, cells):
        print(f"| {name} | " + " | ".join(cells) + " |")

    line("", [f"{value(s, 'stifle', FIRST, 'dofs')}" for s in sizes])
    print("|---" * (len(sizes) + 1) + "|")
    line("tetrahedra", [value(s, "stifle", "mesh", "tetrahedra") for s in sizes])
    for name, program, phase, column in PHASES:
        cells = [value(s, program, phase, column) for s in sizes]
        if any(cells):
            line(name, cells)
    for row in rows:
        if not row["wall_s"]:
            print(f"\n{row['size']} {row['program']}: {row['phase']}")
    print()
    line("against CalculiX", sizes)
    print("|---" * (len(sizes) + 1) + "|")

    def ratio(name, ours, theirs=("calculix", "whole job", "wall_s")):
        line(name, [f"{float(a) / float(b):.3g}" if (a := value(s, *theirs)) and (b := value(s, *ours)) else "" for s in sizes])

    ratio("first state: times faster", ("stifle", FIRST, "wall_s"))
    line("memory: ours over theirs", [f"{float(b) / float(a):.3f}" if (a := value(s, "calculix", "whole job", "peak_mb")) and
                                      (b := value(s, "stifle", "bonded: first state with stress", "peak_mb")) else "" for s in sizes])
    ratio("next displacement: times faster", ("stifle", NEXT, "wall_s"))
    ratio("one of their jobs over 72 states of ours", ("stifle", SEVENTY_TWO, "wall_s"))
    line("assembly, million tetrahedra a minute", [f"{60e-6 * float(value(s, 'stifle', 'mesh', 'tetrahedra')) / float(a):.1f}"
                                                   if (a := value(s, "stifle", "bonded: assemble", "wall_s")) else "" for s in sizes])


main()
