#include "solver/cholmod_factor.h"
#include "models/core/error.h"
#include "solver/blas_threads.h"
#include "solver/supernodal_factor.h"
#include <chrono>
#include <cstdint>
#include <cholmod.h>
#include <omp.h>
#include <sys/mman.h>

namespace stifle::solver
{
namespace
{
/// CHOLMOD asks OpenMP for four threads by number, whatever OMP_NUM_THREADS says; on few or busy cores they wait for each
/// other by spinning. No level of parallel regions in this thread while the guard lives.
class SerialOpenMp
{
public:
  SerialOpenMp() : levels_(omp_get_max_active_levels()) { omp_set_max_active_levels(0); }
  ~SerialOpenMp() { omp_set_max_active_levels(levels_); }
  SerialOpenMp(const SerialOpenMp &)            = delete;
  SerialOpenMp &operator=(const SerialOpenMp &) = delete;

private:
  int levels_;
};

/// The kernel gives a page when it is first touched; on a virtual machine that can cost a second and more a GB in small ones. May be refused.
void ask_for_huge_pages(char *block, std::size_t size)
{
  constexpr std::size_t page  = 4096;
  char *const           first = block + (page - reinterpret_cast<std::uintptr_t>(block) % page) % page;
  if (size > 2 * page)
    madvise(first, (size - page) / page * page, MADV_HUGEPAGE);
}

double now() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }
} // namespace

struct CholmodFactor::Implementation
{
  cholmod_common  common;
  cholmod_factor        *factor = nullptr;
  Implementation() { cholmod_start(&common); }
  ~Implementation()
  {
    cholmod_free_factor(&factor, &common);
    cholmod_finish(&common);
  }
  /// Numbers for the symbolic factor, in memory of CHOLMOD.
  void fill(const SparseMatrix &lower, int threads)
  {
    cholmod_factor &l = *factor;
    l.x               = cholmod_malloc(l.xsize, sizeof(double), &common);
    if (!l.x)
      throw Error("not enough memory for the factor: " + std::to_string(l.xsize * sizeof(double) >> 20) + " MB");
    l.xtype = CHOLMOD_REAL; // CHOLMOD frees it by its kind
    l.dtype = CHOLMOD_DOUBLE;
    l.is_ll = 1;
    ask_for_huge_pages(static_cast<char *>(l.x), l.xsize * sizeof(double));
    const int bad =
      factor_supernodes(lower, static_cast<const int *>(l.Perm),
                        {static_cast<int>(l.n), static_cast<int>(l.nsuper), static_cast<const int *>(l.super), static_cast<const int *>(l.pi),
                         static_cast<const int *>(l.px), static_cast<const int *>(l.s), static_cast<double *>(l.x)},
                        threads);
    if (bad >= 0)
      throw Error("the stiffness matrix is not positive definite (unknown " + std::to_string(static_cast<const int *>(l.Perm)[bad]) +
                  "): a part floats or an element is flat");
    l.minor = l.n;
  }
  /// A workspace of its own, so that several threads may solve at a time.
  Eigen::MatrixXd run(int system, const Eigen::MatrixXd &b) const
  {
    const SerialOpenMp guard;
    cholmod_common     own;
    cholmod_start(&own);
    cholmod_dense in{};
    in.nrow = in.d = static_cast<std::size_t>(b.rows());
    in.ncol  = static_cast<std::size_t>(b.cols());
    in.nzmax = in.nrow * in.ncol;
    in.x     = const_cast<double *>(b.data());
    in.xtype = CHOLMOD_REAL;
    in.dtype = CHOLMOD_DOUBLE;
    cholmod_dense  *out = cholmod_solve(system, factor, &in, &own);
    Eigen::MatrixXd x;
    if (out)
      x = Eigen::Map<Eigen::MatrixXd>(static_cast<double *>(out->x), b.rows(), b.cols());
    cholmod_free_dense(&out, &own);
    cholmod_finish(&own);
    if (x.size() != b.size())
      throw Error("CHOLMOD could not solve (out of memory?)");
    return x;
  }
};

CholmodFactor::CholmodFactor(const SparseMatrix &lower, const std::vector<int> &order, int threads)
  : impl_(std::make_unique<Implementation>())
{
  use_one_blas_thread();
  const SerialOpenMp guard;
  cholmod_common &c = impl_->common;
  c.supernodal      = CHOLMOD_SUPERNODAL;
  c.nmethods        = 1;
  c.postorder       = 1;
  c.print           = 0;
  c.method[0].ordering = CHOLMOD_GIVEN;
  cholmod_sparse a{};
  a.nrow = a.ncol = static_cast<std::size_t>(lower.rows());
  a.nzmax  = static_cast<std::size_t>(lower.nonZeros());
  a.p      = const_cast<int *>(lower.outerIndexPtr());
  a.i      = const_cast<int *>(lower.innerIndexPtr());
  a.x      = const_cast<double *>(lower.valuePtr());
  a.stype  = -1;
  a.itype  = CHOLMOD_INT;
  a.xtype  = CHOLMOD_REAL;
  a.dtype  = CHOLMOD_DOUBLE;
  a.sorted = a.packed = 1;
  const double t0 = now();
  impl_->factor   = cholmod_analyze_p(&a, const_cast<int *>(order.data()), nullptr, 0, &c);
  if (!impl_->factor)
    throw Error("CHOLMOD could not analyse the stiffness matrix (status " + std::to_string(c.status) + ")");
  const double t1 = now();
  impl_->fill(lower, threads);
  analyse_seconds = t1 - t0;
  factor_seconds  = now() - t1;
}
CholmodFactor::~CholmodFactor() = default;

Vector CholmodFactor::solve(const Vector &b) const { return impl_->run(CHOLMOD_A, b); }
Eigen::MatrixXd CholmodFactor::forward(const Eigen::MatrixXd &b) const
{
  Eigen::MatrixXd permuted(b.rows(), b.cols());
  for (Eigen::Index column = 0; column < b.cols(); ++column)
    for (Eigen::Index k = 0; k < b.rows(); ++k)
      permuted(k, column) = b(unknown(static_cast<int>(k)), column);
  return impl_->run(CHOLMOD_L, permuted);
}
Eigen::MatrixXd CholmodFactor::backward(const Eigen::MatrixXd &y) const
{
  const Eigen::MatrixXd permuted = impl_->run(CHOLMOD_Lt, y);
  Eigen::MatrixXd       x(y.rows(), y.cols());
  for (Eigen::Index column = 0; column < y.cols(); ++column)
    for (Eigen::Index k = 0; k < y.rows(); ++k)
      x(unknown(static_cast<int>(k)), column) = permuted(k, column);
  return x;
}
int    CholmodFactor::unknown(int k) const { return static_cast<const int *>(impl_->factor->Perm)[k]; }
double CholmodFactor::nonzeros() const { return impl_->common.lnz; }

Eigen::MatrixXd CholmodFactor::trailing(int n) const
{
  const cholmod_factor &f = *impl_->factor;
  if (!f.is_super)
    throw Error("CHOLMOD returned a simplicial factor");
  const int *super = static_cast<const int *>(f.super), *pi = static_cast<const int *>(f.pi), *px = static_cast<const int *>(f.px);
  const int *rows = static_cast<const int *>(f.s);
  const auto     *x     = static_cast<const double *>(f.x);
  const int       first = static_cast<int>(f.n) - n;
  Eigen::MatrixXd block = Eigen::MatrixXd::Zero(n, n);
  for (std::size_t s = f.nsuper; s-- > 0 && super[s + 1] > first;)
  {
    const int height = pi[s + 1] - pi[s];
    for (int j = std::max(first, super[s]); j < super[s + 1]; ++j)
      for (int r = j - super[s]; r < height; ++r)
        block(rows[pi[s] + r] - first, j - first) =
          x[static_cast<std::size_t>(px[s]) + r + static_cast<std::size_t>(j - super[s]) * height];
  }
  return block;
}
} // namespace stifle::solver
