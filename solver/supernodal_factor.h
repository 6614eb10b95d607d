// solver/supernodal_factor.h - numbers of a sparse Cholesky factor on several threads; no digit depends on how many
//   method   left-looking over panels of supernodes: a panel collects the updates of all earlier supernodes in their order, then of the panels
//            before it in its own supernode, then is factored (dsyrk, dgemm, dpotrf, dtrsm of one thread each). Small subtrees of the
//            elimination tree are one task each, above them every panel; who takes which task changes nothing
//   against CHOLMOD's own numeric phase: its symbolic factor and its storage, but two cores, and workspace of a panel, not of a supernode
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
/// A supernodal factor as CHOLMOD lays it out: columns first[s] ... first[s + 1] - 1 share the rows at rows[row_start[s]] (their own first,
/// all rising), a dense block at values[value_start[s]] by columns.
struct Supernodes
{
  int           n_columns = 0, number = 0;
  const int    *first = nullptr, *row_start = nullptr, *value_start = nullptr, *rows = nullptr;
  double       *values = nullptr;
};

/// Fills the values with L, L L^T = P A P^T. `lower`: lower triangle of A; permutation[k] is the k-th unknown eliminated. Returns the column
/// (of L) at which A is not positive definite, -1: it is.
int factor_supernodes(const SparseMatrix &lower, const int *permutation, const Supernodes &l, int threads);
} // namespace stifle::solver
