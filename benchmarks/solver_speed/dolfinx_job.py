#!/usr/bin/python3
"""The bonded construct solved by dolfinx 0.5 (Debian), for comparison only.

usage   mpirun -n N dolfinx_job.py FOLDER direct|gamg
reads   FOLDER/problem.json and raw little-endian arrays written by bench_solver_speed (see its export): vertices, tetrahedra,
        modulus and Poisson ratio per tetrahedron, points of the quadratic nodes with their loads, springs at three nodes
does    quadratic tetrahedra, PETSc; direct: MUMPS Cholesky with six statically determinate springs that carry nothing; gamg: conjugate
        gradients with algebraic multigrid, six rigid body modes as near null space, the loads balance
prints  one JSON line: seconds by phase (slowest rank), peak MB (sum of ranks), iterations; writes FOLDER/dolfinx_KIND.f64: displacement
        at the points. No stress is recovered: that is in favour of this program
"""
import json
import resource
import sys
import time

import dolfinx
import numpy as np
import ufl
from mpi4py import MPI
from petsc4py import PETSc
from scipy.spatial import cKDTree

comm = MPI.COMM_WORLD
folder, kind = sys.argv[1], sys.argv[2]
phases = {}


class Phase:
    def __init__(self, name):
        self.name = name

    def __enter__(self):
        comm.Barrier()
        self.start = time.perf_counter()

    def __exit__(self, *_):
        comm.Barrier()
        phases[self.name] = time.perf_counter() - self.start


def array(name, dtype, columns=None):
    data = np.fromfile(f"{folder}/{name}", dtype=dtype)
    return data if columns is None else data.reshape(-1, columns)


def read_mesh():
    """All cells come from rank 0; the library shares them out."""
    x = array("vertices.f64", np.float64, 3) if comm.rank == 0 else np.zeros((0, 3))
    cells = array("tetrahedra.i64", np.int64, 4) if comm.rank == 0 else np.zeros((0, 4), dtype=np.int64)
    element = ufl.Mesh(ufl.VectorElement("Lagrange", ufl.tetrahedron, 1))
    mesh = dolfinx.mesh.create_mesh(comm, cells, x, element)
    q = dolfinx.fem.FunctionSpace(mesh, ("DG", 0))
    original = mesh.topology.original_cell_index
    modulus, poisson = dolfinx.fem.Function(q), dolfinx.fem.Function(q)
    for function, name in ((modulus, "modulus.f64"), (poisson, "poisson.f64")):
        function.x.array[: len(original)] = array(name, np.float64)[original]
    return mesh, modulus, poisson


def stiffness(mesh, modulus, poisson):
    space = dolfinx.fem.VectorFunctionSpace(mesh, ("Lagrange", 2))
    u, v = ufl.TrialFunction(space), ufl.TestFunction(space)
    mu = modulus / (2 * (1 + poisson))
    lam = modulus * poisson / ((1 + poisson) * (1 - 2 * poisson))
    strain = ufl.sym(ufl.grad(u))
    stress = 2 * mu * strain + lam * ufl.tr(strain) * ufl.Identity(3)
    form = dolfinx.fem.form(ufl.inner(stress, ufl.sym(ufl.grad(v))) * ufl.dx(metadata={"quadrature_degree": 2}))
    matrix = dolfinx.fem.petsc.assemble_matrix(form)
    matrix.assemble()
    return space, matrix


def rigid_modes(space):
    """Six orthonormal vectors."""
    x = space.tabulate_dof_coordinates()[: space.dofmap.index_map.size_local]
    x = x - comm.allreduce(x.sum(axis=0), MPI.SUM) / space.dofmap.index_map.size_global
    modes = []
    for k in range(3):
        shift = np.zeros_like(x)
        shift[:, k] = 1
        modes += [shift, np.cross(shift, x)]
    vectors = []
    for mode in modes:
        vector = dolfinx.la.create_petsc_vector(space.dofmap.index_map, 3)
        vector.array[:] = mode.ravel()
        for other in vectors:
            vector.axpy(-vector.dot(other), other)
        vector.normalize()
        vectors.append(vector)
    return vectors


def main():
    with Phase("read"):
        mesh, modulus, poisson = read_mesh()
    with Phase("assemble"):
        space, matrix = stiffness(mesh, modulus, poisson)
    x = space.tabulate_dof_coordinates()[: space.dofmap.index_map.size_local]
    points = array("points.f64", np.float64, 3)
    distance, here = cKDTree(points).query(x)  # which point each own node is
    assert x.size == 0 or distance.max() < 1e-6, f"a node {distance.max()} mm off every point"
    load = dolfinx.la.create_petsc_vector(space.dofmap.index_map, 3)
    load.array[:] = array("force.f64", np.float64, 3)[here].ravel()
    solver = PETSc.KSP().create(comm)
    if kind == "direct":
        first = space.dofmap.index_map.local_range[0]
        own = {int(p): i for i, p in enumerate(here)}
        for point, block in json.load(open(f"{folder}/problem.json"))["pins"]:
            if point in own:
                rows = [3 * (first + own[point]) + part for part in range(3)]
                matrix.setValues(rows, rows, block, addv=PETSc.InsertMode.ADD)
        matrix.assemble()
        matrix.setOption(PETSc.Mat.Option.SPD, True)
        solver.setType("preonly")
        solver.getPC().setType("cholesky")
        solver.getPC().setFactorSolverType("mumps")
    else:
        modes = PETSc.NullSpace().create(vectors=rigid_modes(space), comm=comm)
        matrix.setBlockSize(3)
        matrix.setOption(PETSc.Mat.Option.SYMMETRIC, True)
        matrix.setNearNullSpace(modes)
        matrix.setNullSpace(modes)
        modes.remove(load)
        solver.setType("cg")
        solver.setTolerances(rtol=1e-9, max_it=5000)
        solver.getPC().setType("gamg")
        options = PETSc.Options()
        for key, value in {"mg_levels_ksp_type": "chebyshev", "mg_levels_pc_type": "jacobi", "pc_gamg_threshold": 0.02,
                           "mg_levels_esteig_ksp_type": "cg", "mg_levels_ksp_chebyshev_esteig_steps": 20}.items():
            options[key] = value
    solver.setFromOptions()
    solver.setOperators(matrix)
    with Phase("set up"):
        solver.setUp()
    u = load.duplicate()
    with Phase("solve"):
        solver.solve(load, u)
    with Phase("next solve"):
        solver.solve(load, u)
    residual = load.duplicate()
    matrix.mult(u, residual)
    residual.aypx(-1, load)
    parts = comm.gather((here, np.array(u.array).reshape(-1, 3)))
    peak = comm.reduce(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    user = comm.reduce(resource.getrusage(resource.RUSAGE_SELF).ru_utime)
    relative = residual.norm() / load.norm()
    if comm.rank == 0:
        all_u = np.zeros_like(points)
        for where, values in parts:
            all_u[where] = values
        all_u.tofile(f"{folder}/dolfinx_{kind}.f64")
        print(json.dumps({"seconds": phases, "user": user, "peak_mb": peak, "iterations": solver.getIterationNumber(),
                          "residual": relative, "unknowns": 3 * space.dofmap.index_map.size_global}))


main()
