#include "solver/cg_amg.h"
#include "models/core/error.h"
#include "solver/cg_numbering.h"
#include "solver/petsc_session.h"
#include <algorithm>
#include <ctime>
#include <petscksp.h>

namespace stifle::solver
{
namespace
{
/// Of this process: on a busy machine only its own seconds tell something.
double now() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

/// An empty matrix of 3 x 3 blocks with room for the graph.
Mat make_matrix(MPI_Comm comm, MatType type, const Numbering &numbers, const NodeGraph &graph)
{
  std::vector<PetscInt> near(numbers.own, 0), far(numbers.own, 0);
  for (std::size_t i = 0; i < graph.size(); ++i)
    if (const int row = numbers.here(i); row >= 0)
      for (const unsigned k : graph[i])
        ++(numbers.here(k) >= 0 ? near : far)[row];
  Mat matrix = nullptr;
  petsc(MatCreate(comm, &matrix));
  petsc(MatSetSizes(matrix, 3 * numbers.own, 3 * numbers.own, PETSC_DETERMINE, PETSC_DETERMINE));
  petsc(MatSetBlockSize(matrix, 3));
  petsc(MatSetType(matrix, type));
  petsc(MatXAIJSetPreallocation(matrix, 3, near.data(), far.data(), nullptr, nullptr));
  return matrix;
}

void assemble(Mat matrix)
{
  petsc(MatAssemblyBegin(matrix, MAT_FINAL_ASSEMBLY));
  petsc(MatAssemblyEnd(matrix, MAT_FINAL_ASSEMBLY));
}
} // namespace

struct CgAmg::Implementation
{
  CgOptions                       options;
  MPI_Comm                        comm;
  int                             process = 0, processes = 1;
  Numbering                       fine, coarse;
  std::vector<std::array<int, 2>> parents;
  std::vector<Vector3>            coarse_places;
  Petsc<Mat>                      matrix, linear, interpolation, changed, both;
  Petsc<Vec>                      right, left;
  Petsc<VecScatter>               gather;
  Petsc<Vec>                      whole;
  Petsc<KSP>                      cg;
  bool                            symmetric = true;

  Implementation(const CgGrid &grid, const CgOptions &o) : options(o), comm(o.all_processes ? PETSC_COMM_WORLD : PETSC_COMM_SELF)
  {
    MPI_Comm_rank(comm, &process);
    MPI_Comm_size(comm, &processes);
    fine    = Numbering(partition(grid.graph, processes), processes, process);
    parents = grid.parents;
    place_coarse(grid);
    matrix = make_matrix(comm, options.linear_level ? MATBAIJ : MATAIJ, fine, grid.graph);
    petsc(MatSetOption(matrix, MAT_SYMMETRIC, PETSC_TRUE));
    if (options.linear_level)
    {
      linear = make_matrix(comm, MATAIJ, coarse, coarse_graph(grid, static_cast<int>(coarse_places.size())));
      petsc(MatSetOption(linear, MAT_SYMMETRIC, PETSC_TRUE));
    }
    petsc(MatCreateVecs(matrix, right.receive(), left.receive()));
    petsc(VecScatterCreateToAll(right, gather.receive(), whole.receive()));
  }

  // A coarse node lies where a node of its own lies, on the same process; without the linear level they are the nodes.
  void place_coarse(const CgGrid &grid)
  {
    if (!options.linear_level)
    {
      coarse        = fine;
      coarse_places = grid.nodes;
      return;
    }
    int n = 0;
    for (const auto &p : parents)
      n = std::max({n, p[0] + 1, p[1] + 1});
    std::vector<int> owner(n, -1);
    coarse_places.resize(n);
    for (std::size_t i = 0; i < parents.size(); ++i)
      if (parents[i][0] == parents[i][1])
      {
        owner[parents[i][0]]         = fine.owner[i];
        coarse_places[parents[i][0]] = grid.nodes[i];
      }
    if (std::find(owner.begin(), owner.end(), -1) != owner.end())
      throw Error("conjugate gradients: a coarse node without a node of its own");
    coarse = Numbering(owner, processes, process);
  }

  // Every process gives its own entries and takes all.
  void give(const Vector &from, Vec to) const
  {
    double *values = nullptr;
    petsc(VecGetArray(to, &values));
    for (std::size_t i = 0; i < fine.number.size(); ++i)
      if (const int row = fine.here(i); row >= 0)
        for (int c = 0; c < 3; ++c)
          values[3 * row + c] = from(3 * i + c);
    petsc(VecRestoreArray(to, &values));
  }
  Vector take(Vec from) const
  {
    petsc(VecScatterBegin(gather, from, whole, INSERT_VALUES, SCATTER_FORWARD));
    petsc(VecScatterEnd(gather, from, whole, INSERT_VALUES, SCATTER_FORWARD));
    const double *all = nullptr;
    petsc(VecGetArrayRead(whole, &all));
    Vector to(3 * fine.number.size());
    for (std::size_t i = 0; i < fine.number.size(); ++i)
      for (int c = 0; c < 3; ++c)
        to(3 * i + c) = all[3 * fine.number[i] + c];
    petsc(VecRestoreArrayRead(whole, &all));
    return to;
  }

  void add_linear(const unsigned *nodes, int n, const double *values) const;
  void make_change(const std::vector<Change> &list);
  void make_interpolation();
  double residual_norm() const;
  Petsc<MatNullSpace> modes() const;
  void make_solver();
  void set_levels(PC pc);
};

void CgAmg::Implementation::add_linear(const unsigned *nodes, int n, const double *values) const
{
  std::vector<int> list;
  for (int i = 0; i < n; ++i)
    list.insert(list.end(), parents[nodes[i]].begin(), parents[nodes[i]].end());
  std::sort(list.begin(), list.end());
  list.erase(std::unique(list.begin(), list.end()), list.end());
  const auto at = [&](int c) { return static_cast<int>(std::lower_bound(list.begin(), list.end(), c) - list.begin()); };
  const Eigen::Map<const Eigen::MatrixXd> m(values, 3 * n, 3 * n);
  const int       n_linear = static_cast<int>(list.size());
  Eigen::MatrixXd half = Eigen::MatrixXd::Zero(3 * n, 3 * n_linear), sum = Eigen::MatrixXd::Zero(3 * n_linear, 3 * n_linear);
  for (int j = 0; j < n; ++j)
    for (const int c : parents[nodes[j]])
      half.middleCols<3>(3 * at(c)) += 0.5 * m.middleCols<3>(3 * j);
  for (int i = 0; i < n; ++i)
    for (const int c : parents[nodes[i]])
      sum.middleRows<3>(3 * at(c)) += 0.5 * half.middleRows<3>(3 * i);
  for (int &c : list)
    c = coarse.number[c];
  petsc(MatSetValuesBlocked(linear, n_linear, list.data(), n_linear, list.data(), sum.data(), ADD_VALUES));
}

void CgAmg::Implementation::make_change(const std::vector<Change> &list)
{
  const PetscInt        own = 3 * fine.own;
  std::vector<PetscInt> room(own, 0);
  for (const Change &c : list)
    for (const unsigned node : c.nodes)
      for (int k = 0, row = fine.here(node); row >= 0 && k < 3; ++k) // more than needed: neighbours count twice
        room[3 * row + k] = std::min(own, room[3 * row + k] + static_cast<PetscInt>(c.matrix.cols()));
  petsc(MatCreate(comm, changed.receive()));
  petsc(MatSetSizes(changed, own, own, PETSC_DETERMINE, PETSC_DETERMINE));
  petsc(MatSetBlockSize(changed, 3));
  petsc(MatSetType(changed, MATAIJ));
  petsc(MatSeqAIJSetPreallocation(changed, 0, room.data()));
  petsc(MatMPIAIJSetPreallocation(changed, 0, room.data(), 0, room.data()));
  petsc(MatSetOption(changed, MAT_NEW_NONZERO_ALLOCATION_ERR, PETSC_FALSE));
  for (const Change &c : list)
    if (fine.owner[c.nodes[0]] == process)
    {
      std::vector<PetscInt> numbers;
      for (const unsigned node : c.nodes)
        numbers.push_back(fine.number[node]);
      const PetscInt n = static_cast<PetscInt>(numbers.size());
      // By rows: PETSc 3.18 sends column-wise values to other processes wrongly (blocked matrices; seen as an indefinite matrix).
      const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> values = c.matrix;
      petsc(MatSetValuesBlocked(changed, n, numbers.data(), n, numbers.data(), values.data(), ADD_VALUES));
    }
  assemble(changed);
}

void CgAmg::Implementation::make_interpolation()
{
  Petsc<Mat> one;
  petsc(MatCreateAIJ(comm, fine.own, coarse.own, PETSC_DETERMINE, PETSC_DETERMINE, 2, nullptr, 2, nullptr, one.receive()));
  for (std::size_t i = 0; i < parents.size(); ++i)
    if (fine.here(i) >= 0)
      for (const int c : parents[i])
        petsc(MatSetValue(one, fine.number[i], coarse.number[c], 0.5, ADD_VALUES));
  assemble(one);
  petsc(MatCreateMAIJ(one, 3, interpolation.receive()));
}

Petsc<MatNullSpace> CgAmg::Implementation::modes() const
{
  Petsc<Vec> places;
  petsc(VecCreateMPI(comm, 3 * coarse.own, PETSC_DETERMINE, places.receive()));
  petsc(VecSetBlockSize(places, 3));
  for (std::size_t c = 0; c < coarse_places.size(); ++c)
    if (coarse.here(c) >= 0)
      petsc(VecSetValuesBlocked(places, 1, &coarse.number[c], coarse_places[c].data(), INSERT_VALUES));
  petsc(VecAssemblyBegin(places));
  petsc(VecAssemblyEnd(places));
  Petsc<MatNullSpace> space;
  petsc(MatNullSpaceCreateRigidBody(places, space.receive()));
  if (options.modes == 6)
    return space;
  const Vec *all   = nullptr; // translations come first
  PetscInt   count = 0;
  petsc(MatNullSpaceGetVecs(space, nullptr, &count, &all));
  Petsc<MatNullSpace> fewer;
  petsc(MatNullSpaceCreate(comm, PETSC_FALSE, options.modes, all, fewer.receive()));
  return fewer;
}

void CgAmg::Implementation::set_levels(PC pc)
{
  petsc(PCSetType(pc, PCMG));
  petsc(PCMGSetLevels(pc, 2, nullptr));
  petsc(PCMGSetInterpolation(pc, 1, interpolation));
  KSP smoother = nullptr, below = nullptr;
  petsc(PCMGGetSmoother(pc, 1, &smoother));
  petsc(KSPSetOperators(smoother, matrix, matrix));
  petsc(PCMGGetCoarseSolve(pc, &below));
  petsc(KSPSetOperators(below, linear, linear));
}

void CgAmg::Implementation::make_solver()
{
  const Petsc<MatNullSpace> near = modes();
  petsc(MatSetNearNullSpace(options.linear_level ? linear : matrix, near));
  petsc(KSPCreate(comm, cg.receive()));
  petsc(KSPSetOptionsPrefix(cg, options.linear_level ? "stifle_" : "plain_"));
  petsc(KSPSetOperators(cg, matrix, matrix));
  petsc(KSPSetType(cg, KSPCG));
  PC pc = nullptr;
  petsc(KSPGetPC(cg, &pc));
  if (options.linear_level)
    set_levels(pc);
  else
    petsc(PCSetType(pc, PCGAMG));
  petsc(KSPSetFromOptions(cg));
  petsc(KSPSetNormType(cg, KSP_NORM_NATURAL));
  petsc(KSPSetUp(cg));
}

double CgAmg::Implementation::residual_norm() const
{
  Petsc<Vec> rest;
  Mat        a    = nullptr;
  double     norm = 0;
  petsc(KSPGetOperators(cg, &a, nullptr));
  petsc(VecDuplicate(right, rest.receive()));
  petsc(MatMult(a, left, rest));
  petsc(VecAYPX(rest, -1.0, right));
  petsc(VecNorm(rest, NORM_2, &norm));
  return norm;
}

CgAmg::CgAmg(const CgGrid &grid, const CgOptions &options)
{
  const PetscSession session;
  impl_ = std::make_unique<Implementation>(grid, options);
}

CgAmg::~CgAmg()
{
  const PetscSession session;
  impl_.reset();
}

int CgAmg::process() const { return impl_->process; }
int CgAmg::owner(unsigned node) const { return impl_->fine.owner[node]; }

void CgAmg::add(const unsigned *nodes, int n, const double *values)
{
  const Implementation &m = *impl_;
  std::vector<PetscInt> numbers(n);
  for (int i = 0; i < n; ++i)
    numbers[i] = m.fine.number[nodes[i]];
  petsc(MatSetValuesBlocked(m.matrix, n, numbers.data(), n, numbers.data(), values, ADD_VALUES));
  if (m.options.linear_level)
    m.add_linear(nodes, n, values);
}

void CgAmg::finish()
{
  const PetscSession session;
  const double       start = now();
  assemble(impl_->matrix);
  if (impl_->options.linear_level)
  {
    assemble(impl_->linear);
    impl_->make_interpolation();
  }
  impl_->make_solver();
  setup_seconds = now() - start;
}

void CgAmg::change(const std::vector<Change> &list, bool symmetric)
{
  const PetscSession session;
  Implementation    &m = *impl_;
  m.make_change(list);
  Mat parts[2] = {m.matrix, m.changed};
  petsc(MatCreateComposite(m.comm, list.empty() ? 1 : 2, parts, m.both.receive()));
  petsc(KSPSetOperators(m.cg, m.both, m.matrix)); // the preconditioner stays that of the matrix
  if (symmetric == m.symmetric)
    return;
  m.symmetric = symmetric;
  petsc(KSPSetType(m.cg, symmetric ? KSPCG : KSPGMRES));
  petsc(KSPSetNormType(m.cg, symmetric ? KSP_NORM_NATURAL : KSP_NORM_PRECONDITIONED));
  if (!symmetric)
    petsc(KSPGMRESSetRestart(m.cg, 60));
}

Vector CgAmg::times(const Vector &u) const
{
  const PetscSession session;
  impl_->give(u, impl_->right);
  petsc(MatMult(impl_->matrix, impl_->right, impl_->left));
  return impl_->take(impl_->left);
}

Vector CgAmg::precondition(const Vector &r) const
{
  const PetscSession session;
  PC                 pc = nullptr;
  petsc(KSPGetPC(impl_->cg, &pc));
  impl_->give(r, impl_->right);
  petsc(PCApply(pc, impl_->right, impl_->left));
  return impl_->take(impl_->left);
}

SolveReport CgAmg::solve(const Vector &f, Vector &u, double tolerance) const
{
  const PetscSession    session;
  const double          start = now();
  const Implementation &m     = *impl_;
  const bool            warm   = u.size() == f.size();
  m.give(f, m.right);
  if (warm)
    m.give(u, m.left);
  petsc(KSPSetInitialGuessNonzero(m.cg, warm ? PETSC_TRUE : PETSC_FALSE));
  petsc(KSPSetTolerances(m.cg, tolerance > 0 ? tolerance : m.options.tolerance, 1e-300, 1e10, m.options.max_iterations));
  petsc(KSPSolve(m.cg, m.right, m.left));
  SolveReport        report;
  KSPConvergedReason reason = KSP_CONVERGED_ITERATING;
  PetscInt           count  = 0;
  petsc(KSPGetConvergedReason(m.cg, &reason));
  petsc(KSPGetIterationNumber(m.cg, &count));
  report.converged  = reason > 0;
  report.iterations = static_cast<unsigned>(count);
  u = m.take(m.left);
  double size = 0;
  petsc(VecNorm(m.right, NORM_2, &size));
  report.relative_residual = size > 0 ? m.residual_norm() / size : 0;
  report.seconds           = now() - start;
  return report;
}
} // namespace stifle::solver
