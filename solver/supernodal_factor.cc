#include "solver/supernodal_factor.h"
#include <algorithm>
#include <atomic>
#include <cstring>
#include <exception>
#include <memory>
#include <mutex>
#include <numeric>
#include <thread>

extern "C"
{
  void dgemm_(const char *, const char *, const int *, const int *, const int *, const double *, const double *, const int *, const double *,
              const int *, const double *, double *, const int *);
  void dsyrk_(const char *, const char *, const int *, const int *, const double *, const double *, const int *, const double *, double *,
              const int *);
  void dtrsm_(const char *, const char *, const char *, const char *, const int *, const int *, const double *, const double *, const int *,
              double *, const int *);
  void dpotrf_(const char *, const int *, double *, const int *, int *);
}

namespace stifle::solver
{
namespace
{
constexpr int    panel_width    = 256;
constexpr double subtrees_least = 64; ///< a subtree is one task when it is less than this part of the work

/// Entries of P A P^T, lower triangle by columns.
struct Permuted
{
  std::vector<int>    start, row;
  std::vector<double> value;

  Permuted(const SparseMatrix &lower, const int *permutation)
    : start(static_cast<std::size_t>(lower.cols()) + 1, 0), row(lower.nonZeros()), value(lower.nonZeros())
  {
    std::vector<int> place(lower.cols());
    for (int k = 0; k < lower.cols(); ++k)
      place[permutation[k]] = k;
    const auto each = [&](const auto &visit) {
      for (int j = 0; j < lower.cols(); ++j)
        for (SparseMatrix::InnerIterator entry(lower, j); entry; ++entry)
          if (entry.row() >= j)
            visit(std::minmax(place[entry.row()], place[j]), entry.value());
    };
    each([&](const std::pair<int, int> &at, double) { ++start[at.first + 1]; });
    std::partial_sum(start.begin(), start.end(), start.begin());
    std::vector<int> next(start.begin(), start.end() - 1);
    each([&](const std::pair<int, int> &at, double x) {
      row[next[at.first]]     = at.second;
      value[next[at.first]++] = x;
    });
  }
};

/// Rows begin ... end - 1 of supernode `of` lie in the columns of the supernode that lists it.
struct Source
{
  int of, begin, end;
};

struct Task ///< panel `column` of a supernode, or all of a subtree's supernodes
{
  int              supernode = 0, column = 0;
  std::vector<int> subtree = {};
};

class SupernodalFactor
{
public:
  SupernodalFactor(const SparseMatrix &lower, const int *permutation, const Supernodes &l)
    : l_(l), a_(lower, permutation), sources_(l.number), done_(new std::atomic<int>[l.number])
  {
    for (int s = 0; s < l.number; ++s)
      done_[s] = 0;
    std::vector<int> owner(l.n_columns);
    for (int s = 0; s < l.number; ++s)
      std::fill(owner.begin() + l.first[s], owner.begin() + l.first[s + 1], s);
    for (int d = 0; d < l.number; ++d)
      for (int begin = width(d), end; begin < height(d); begin = end)
      {
        const int s = owner[rows(d)[begin]];
        for (end = begin; end < height(d) && owner[rows(d)[end]] == s; ++end)
          ;
        sources_[s].push_back({d, begin, end});
      }
    make_tasks(owner);
  }

  int run(int threads)
  {
    std::vector<std::thread> others;
    for (int i = 1; i < threads; ++i)
      others.emplace_back([this] { guarded_work(); });
    guarded_work();
    for (std::thread &thread : others)
      thread.join();
    if (trouble_)
      std::rethrow_exception(trouble_);
    return failed_;
  }

private:
  /// Of one thread.
  struct Workspace
  {
    std::vector<int>    place, target; ///< of a row in the supernode; of a row of a source
    std::vector<double> update;
  };

  int        width(int s) const { return l_.first[s + 1] - l_.first[s]; }
  int        height(int s) const { return l_.row_start[s + 1] - l_.row_start[s]; }
  const int *rows(int s) const { return l_.rows + l_.row_start[s]; }
  double    *values(int s) const { return l_.values + l_.value_start[s]; }

  // Subtrees with the most work first, then the panels above them from the leaves up.
  void make_tasks(const std::vector<int> &owner)
  {
    std::vector<double> work(l_.number, 0);
    std::vector<int>    parent(l_.number, -1), root(l_.number, -1);
    for (int s = 0; s < l_.number; ++s)
    {
      work[s] += static_cast<double>(width(s)) * height(s) * height(s);
      if (height(s) > width(s))
      {
        parent[s] = owner[rows(s)[width(s)]];
        work[parent[s]] += work[s];
      }
    }
    double all = 0;
    for (int s = 0; s < l_.number; ++s)
      all += parent[s] < 0 ? work[s] : 0;
    const auto small = [&](int s) { return s >= 0 && work[s] * subtrees_least < all; };
    for (int s = l_.number; s-- > 0;)
      root[s] = !small(s) ? -1 : small(parent[s]) ? root[parent[s]] : s;
    std::vector<int> task_of(l_.number, -1);
    std::vector<int> roots;
    for (int s = 0; s < l_.number; ++s)
      if (root[s] == s)
        roots.push_back(s);
    std::stable_sort(roots.begin(), roots.end(), [&](int a, int b) { return work[a] > work[b]; });
    for (const int s : roots)
    {
      task_of[s] = static_cast<int>(tasks_.size());
      tasks_.push_back({s});
    }
    for (int s = 0; s < l_.number; ++s)
      if (root[s] >= 0)
        tasks_[task_of[root[s]]].subtree.push_back(s);
      else
        for (int column = 0; column < width(s); column += panel_width)
          tasks_.push_back({s, column});
  }

  void guarded_work()
  {
    try
    {
      work();
    }
    catch (...) // no memory
    {
      const std::lock_guard<std::mutex> lock(mutex_);
      trouble_ = std::current_exception();
      failed_  = l_.n_columns; // the others stop
    }
  }

  void work()
  {
    Workspace own;
    own.place.resize(l_.n_columns);
    for (std::size_t i; failed_ < 0 && (i = next_++) < tasks_.size();)
      if (const Task &task = tasks_[i]; task.subtree.empty())
        factor_panel(task.supernode, task.column, own);
      else
        for (const int s : task.subtree)
          for (int column = 0; column < width(s) && failed_ < 0; column += panel_width)
            factor_panel(s, column, own);
  }

  /// Until that many columns of s are final; false when another thread has failed.
  bool wait_for(int s, int columns) const
  {
    while (done_[s].load(std::memory_order_acquire) < columns)
    {
      if (failed_ >= 0)
        return false;
      std::this_thread::yield();
    }
    return true;
  }

  void factor_panel(int s, int begin, Workspace &own)
  {
    const int end = std::min(begin + panel_width, width(s)), h = height(s);
    double   *x   = values(s) + static_cast<std::size_t>(begin) * h; // row 0 of the first column
    std::memset(x, 0, sizeof(double) * static_cast<std::size_t>(end - begin) * h);
    for (int i = begin; i < h; ++i)
      own.place[rows(s)[i]] = i;
    for (int j = begin; j < end; ++j)
      for (int k = a_.start[l_.first[s] + j]; k < a_.start[l_.first[s] + j + 1]; ++k)
        x[static_cast<std::size_t>(j - begin) * h + own.place[a_.row[k]]] = a_.value[k];
    for (const Source &source : sources_[s])
      if (!subtract(source, s, begin, end, x, own))
        return;
    for (int column = 0; column < begin; column += panel_width)
      if (!subtract_own(s, column, begin, end, x))
        return;
    int          info = 0;
    const int    w = end - begin, below = h - end;
    const double one = 1;
    dpotrf_("L", &w, x + begin, &h, &info);
    if (info > 0)
    {
      failed_ = l_.first[s] + begin + info - 1;
      return;
    }
    if (below > 0)
      dtrsm_("R", "L", "T", "N", &below, &w, &one, x + begin, &h, x + end, &h);
    done_[s].store(end, std::memory_order_release);
  }

  /// The product of a source's rows with those of them that are columns of this panel.
  bool subtract(const Source &source, int s, int begin, int end, double *x, Workspace &own) const
  {
    const int  d = source.of, from = l_.first[s] + begin;
    const int *r = rows(d), *first = std::lower_bound(r + source.begin, r + source.end, from),
              *last = std::lower_bound(first, r + source.end, from + end - begin);
    if (first == last)
      return true;
    if (!wait_for(d, width(d)))
      return false;
    const int     w = static_cast<int>(last - first), below = static_cast<int>(r + height(d) - last), m = w + below, k = width(d), ld = height(d);
    const double  one = 1, zero = 0;
    const double *a = values(d) + (first - r);
    own.update.resize(std::max(own.update.size(), static_cast<std::size_t>(m) * w));
    dsyrk_("L", "N", &w, &k, &one, a, &ld, &zero, own.update.data(), &m);
    if (below > 0)
      dgemm_("N", "T", &below, &w, &k, &one, a + w, &ld, a, &ld, &zero, own.update.data() + w, &m);
    own.target.resize(m);
    for (int i = 0; i < m; ++i)
      own.target[i] = own.place[first[i]];
    for (int j = 0; j < w; ++j)
    {
      double       *to   = x + static_cast<std::size_t>(first[j] - from) * height(s);
      const double *from_column = own.update.data() + static_cast<std::size_t>(j) * m;
      for (int i = j; i < m; ++i)
        to[own.target[i]] -= from_column[i];
    }
    return true;
  }

  /// The same of an earlier panel of this supernode, in place.
  bool subtract_own(int s, int column, int begin, int end, double *x) const
  {
    if (!wait_for(s, column + panel_width))
      return false;
    const int     w = end - begin, k = panel_width, h = height(s), below = h - end;
    const double  one = 1, minus = -1;
    const double *a = values(s) + static_cast<std::size_t>(column) * h;
    dsyrk_("L", "N", &w, &k, &minus, a + begin, &h, &one, x + begin, &h);
    if (below > 0)
      dgemm_("N", "T", &below, &w, &k, &minus, a + end, &h, a + begin, &h, &one, x + end, &h);
    return true;
  }

  const Supernodes                    l_;
  const Permuted                      a_;
  std::vector<std::vector<Source>>    sources_; ///< of each supernode, rising
  std::vector<Task>                   tasks_;
  std::unique_ptr<std::atomic<int>[]> done_; ///< columns of each that are final
  std::atomic<std::size_t>            next_{0};
  std::atomic<int>                    failed_{-1};
  std::mutex                          mutex_;
  std::exception_ptr                  trouble_;
};
} // namespace

int factor_supernodes(const SparseMatrix &lower, const int *permutation, const Supernodes &l, int threads)
{
  return SupernodalFactor(lower, permutation, l).run(threads);
}
} // namespace stifle::solver
