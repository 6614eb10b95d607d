#include "solver/block_stress.h"
#include "models/core/error.h"
#include "solver/peak_lanes.h"
#include "solver/recover_stress.h"

namespace stifle::solver
{
namespace
{
/// A plan and the lists that peaks are searched in; one for all entries, one for the candidates.
struct Selection
{
  StressPlan            plan;
  EntryGroups           groups;
  std::vector<unsigned> place; ///< of an entry of the mesh in the plan
};

/// Columns `first` to `first + used` recovered; lanes beyond are zero.
template <int W> struct Block
{
  const Selection              &selection;
  Eigen::Index                  first;
  int                           used;
  std::vector<double>           stress, strain;
  std::vector<LaneExtremes<W>>  parts;
  std::vector<Lanes<W>>         yielded; ///< per part, mm^3; empty: not asked for

  std::array<double, 6> stress_at(unsigned place, int lane) const
  {
    std::array<double, 6> s;
    for (int k = 0; k < 6; ++k)
      s[k] = stress[(6 * std::size_t(place) + k) * W + lane];
    return s;
  }
  std::vector<Extremes> of_lane(int lane) const
  {
    std::vector<Extremes> list;
    for (const LaneExtremes<W> &part : parts)
      list.push_back(part[lane]);
    return list;
  }
  LaneField<W> field(const IsotropicMaterial &material) const
  {
    return {stress.data(), strain.empty() ? nullptr : strain.data(), material};
  }
};

template <int W> std::vector<double> gather(const StressPlan &plan, const Columns &columns, Eigen::Index first, int used)
{
  std::vector<double> u(plan.nodes.size() * 3 * W, 0);
  for (std::size_t n = 0; n < plan.nodes.size(); ++n)
    for (int s = 0; s < used; ++s)
      for (int a = 0; a < 3; ++a)
        u[(3 * n + a) * W + s] = columns(3 * Eigen::Index(plan.nodes[n]) + a, first + s);
  return u;
}

template <int W> struct NoLook
{
  void operator()(const StressCell &, const CornerLanes<W> &) const {}
};

template <int W> CornerStress corner_of_lane(const CornerLanes<W> &own, int lane)
{
  CornerStress s;
  for (int i = 0; i < 4; ++i)
    for (int k = 0; k < 6; ++k)
      s[i][k] = own[i][k](lane);
  return s;
}

// Most cells are well below yield: lanes first, one by one where some corner is not.
template <int W> void add_yielded(const Elasticity &elasticity, const PeakTable &peaks, const StressCell &cell, const CornerLanes<W> &own,
                                  std::vector<Lanes<W>> &yielded)
{
  const unsigned part  = elasticity.mesh().part[cell.cell];
  const double   yield = peaks.yield_mpa(part);
  if (!(yield > 0))
    return;
  Lanes<W> highest = Lanes<W>::Zero();
  for (int i = 0; i < 4; ++i)
    highest = highest.max(von_mises_lanes<W>([&](int k) { return own[i][k]; }));
  if (!(highest > yield).any())
    return;
  for (int s = 0; s < W; ++s)
    if (highest(s) > yield)
      yielded[part](s) += cell.volume * yielded_share(corner_of_lane<W>(own, s), yield);
}
} // namespace

struct BlockStress::Implementation
{
  const Elasticity  &elasticity;
  const PeakTable   &peaks;
  const ScrewShafts &shafts;
  StressEntries      all;
  Selection          full, chosen;
  std::vector<char>  marked;                                ///< per entry
  std::vector<float> learnt_mises, learnt_tension;          ///< per entry: largest share of the peak in any learnt state
  bool               any_learnt = false;

  Selection select(const std::vector<char> &wanted) const;
  void      mark_shafts();

  template <int W> Block<W> recover(const Selection &selection, const Columns &u, Eigen::Index first, bool with_yield) const;
  template <int W> std::vector<StressRows> full_rows(const Block<W> &block, const Columns &u, const Columns &threads) const;
  template <int W> std::vector<StressRows> candidate_rows(const Block<W> &block, const Columns &threads) const;
  template <int W> std::vector<ScrewShaft> shaft_rows(const Block<W> &block, int lane, const Columns &threads) const;
  template <int W> void                    add_details(const Block<W> &block, const Columns &u, std::vector<std::vector<PeakRow>> &rows) const;
  template <int W> void                    mark(const Block<W> &block, double share);
  bool                                     moved(const std::vector<PeakRow> &rows, const std::vector<Extremes> &parts) const;
};

Selection BlockStress::Implementation::select(const std::vector<char> &wanted) const
{
  Selection s{make_plan(elasticity, all, wanted), {}, std::vector<unsigned>(all.node.size(), no_entry)};
  s.groups = peaks.groups(s.plan.node, s.plan.part);
  for (std::size_t i = 0; i < s.plan.entries.size(); ++i)
    s.place[s.plan.entries[i]] = static_cast<unsigned>(i);
  return s;
}

void BlockStress::Implementation::mark_shafts()
{
  for (const unsigned entry : shafts.entries_read(all.of_cell))
    marked[entry] = 1;
}

template <int W>
Block<W> BlockStress::Implementation::recover(const Selection &selection, const Columns &u, Eigen::Index first, bool with_yield) const
{
  const StressPlan &plan = selection.plan;
  Block<W>          block{selection, first, static_cast<int>(std::min<Eigen::Index>(W, u.cols() - first)), {}, {}, {}, {}};
  block.stress.assign(6 * W * plan.node.size(), 0);
  block.strain.assign(elasticity.has_own_materials() ? block.stress.size() : 0, 0);
  const std::vector<double> nodal = gather<W>(plan, u, first, block.used);
  double                   *strain = block.strain.empty() ? nullptr : block.strain.data();
  const std::size_t         n_parts = elasticity.mesh().parts.size();
  if (with_yield)
  {
    block.yielded.assign(n_parts, Lanes<W>::Zero());
    recover_lanes<W>(plan, nodal.data(), block.stress.data(), strain, [&](const StressCell &cell, const CornerLanes<W> &own) {
      add_yielded<W>(elasticity, peaks, cell, own, block.yielded);
    });
  }
  else
    recover_lanes<W>(plan, nodal.data(), block.stress.data(), strain, NoLook<W>());
  for (unsigned p = 0; p < n_parts; ++p)
    block.parts.push_back(find_extremes<W>(block.field(peaks.material(p)), selection.groups, p));
  return block;
}

template <int W>
std::vector<ScrewShaft> BlockStress::Implementation::shaft_rows(const Block<W> &block, int lane, const Columns &threads) const
{
  return shafts.results(
      all.of_cell, [&](unsigned entry) { return block.stress_at(block.selection.place[entry], lane); }, threads.col(block.first + lane));
}

template <int W>
void BlockStress::Implementation::add_details(const Block<W> &block, const Columns &u, std::vector<std::vector<PeakRow>> &rows) const
{
  std::vector<unsigned> places;
  for (const auto &state : rows)
    for (const PeakRow &peak : state)
      places.push_back(peak.entry);
  const CellsAround around(all.of_cell, all.node.size(), places);
  for (int s = 0; s < block.used; ++s)
  {
    const Vector column = u.col(block.first + s);
    const auto   error  = [&](std::size_t c) {
      CornerStress smooth;
      for (int i = 0; i < 4; ++i)
        smooth[i] = block.stress_at(all.of_cell[c][i], s);
      return mean_energy_density(elasticity, c, stress_error(smooth, elasticity.corner_stress(column, c)));
    };
    for (PeakRow &peak : rows[s])
    {
      const LaneField<W> field        = block.field(peaks.material(peak.part));
      const double       energy       = 0.5 * field.stress_at(peak.entry, s).dot(field.strain_at(peak.entry, s));
      peak.row.volume_above_yield_mm3 = block.yielded[peak.part](s);
      peak.row.error_estimate_percent = error_percent(elasticity, around.of(peak.entry), energy, error);
    }
  }
}

namespace
{
std::vector<PartPeak> plain(const std::vector<PeakRow> &rows)
{
  std::vector<PartPeak> list;
  for (const PeakRow &row : rows)
    list.push_back(row.row);
  return list;
}

// Calls work(integral constant W, first column) for blocks of 8, the rest in the narrowest block that holds it.
template <class Work> void in_blocks(Eigen::Index columns, const Work &work)
{
  for (Eigen::Index first = 0; first < columns; first += 8)
    if (const Eigen::Index left = columns - first; left == 1)
      work(std::integral_constant<int, 1>(), first);
    else if (left == 2)
      work(std::integral_constant<int, 2>(), first);
    else if (left <= 4)
      work(std::integral_constant<int, 4>(), first);
    else
      work(std::integral_constant<int, 8>(), first);
}

void append(std::vector<StressRows> &all, std::vector<StressRows> more)
{
  for (StressRows &rows : more)
    all.push_back(std::move(rows));
}

void check_columns(const Elasticity &elasticity, const Columns &u, const Columns &threads)
{
  if (u.rows() != static_cast<Eigen::Index>(3 * elasticity.n_nodes()) || threads.rows() != u.rows() || threads.cols() != u.cols())
    throw Error("stress of a block: displacements or thread forces do not have three numbers per node in every column");
}
} // namespace

template <int W>
std::vector<StressRows> BlockStress::Implementation::full_rows(const Block<W> &block, const Columns &u, const Columns &threads) const
{
  std::vector<std::vector<PeakRow>> rows;
  for (int s = 0; s < block.used; ++s)
    rows.push_back(peaks.peak_rows(block.of_lane(s), block.selection.plan.node));
  add_details(block, u, rows);
  std::vector<StressRows> states;
  for (int s = 0; s < block.used; ++s)
    states.push_back({plain(rows[s]), shaft_rows(block, s, threads), false});
  return states;
}

template <int W>
std::vector<StressRows> BlockStress::Implementation::candidate_rows(const Block<W> &block, const Columns &threads) const
{
  std::vector<StressRows> states;
  for (int s = 0; s < block.used; ++s)
  {
    const std::vector<Extremes> parts = block.of_lane(s);
    const std::vector<PeakRow>  rows  = peaks.peak_rows(parts, block.selection.plan.node);
    states.push_back({plain(rows), shaft_rows(block, s, threads), moved(rows, parts)});
  }
  return states;
}

bool BlockStress::Implementation::moved(const std::vector<PeakRow> &rows, const std::vector<Extremes> &parts) const
{
  for (const PeakRow &row : rows)
  {
    const long tension = parts[row.part].tension.entry;
    if (learnt_mises[chosen.plan.entries[row.entry]] < trusted_share ||
        (tension >= 0 && learnt_tension[chosen.plan.entries[tension]] < trusted_share))
      return true;
  }
  return false;
}

// Every lane's shares of its own peaks.
template <int W> void BlockStress::Implementation::mark(const Block<W> &block, double share)
{
  const auto inverse = [](double peak) { return peak > 0 ? 1 / peak : 0; };
  for (unsigned p = 0; p < block.parts.size(); ++p)
    for (int k = 0; k < 2; ++k)
    {
      const LaneField<W> field = block.field(peaks.material(p));
      Lanes<W>           mises = Lanes<W>::Zero(), tension = mises, stretch = mises, shortening = mises;
      for (int s = 0; s < block.used; ++s)
      {
        const Extremes &x = block.parts[p][s];
        mises(s)          = inverse(x.von_mises[k].mpa);
        tension(s)        = k == 0 ? inverse(x.tension.mpa) : 0;
        stretch(s)        = k == 0 ? inverse(x.stretch) : 0;
        shortening(s)     = k == 0 ? inverse(x.shortening) : 0;
        if (x.von_mises[k].entry >= 0)
          marked[x.von_mises[k].entry] = 1;
      }
      for (const unsigned e : block.selection.groups.of[k][p])
      {
        const Lanes<W>           v = field.von_mises(e);
        const PrincipalBounds<W> bound(field, e, v);
        const double             of_mises = (v * mises).maxCoeff(), of_tension = (bound.tension * tension).maxCoeff();
        const double of_strain = (bound.stretch * stretch).max(bound.shortening * shortening).maxCoeff();
        marked[e]              = marked[e] || std::max({of_mises, of_tension, of_strain}) >= share;
        learnt_mises[e]        = std::max(learnt_mises[e], static_cast<float>(of_mises));
        learnt_tension[e]      = std::max(learnt_tension[e], static_cast<float>(of_tension));
      }
    }
}

BlockStress::BlockStress(const Elasticity &elasticity, const PeakTable &peaks, const ScrewShafts &shafts)
  : impl_(new Implementation{elasticity, peaks, shafts, number_entries(elasticity), {}, {}, {}, {}, {}})
{
  impl_->full = impl_->select({});
  forget();
}
BlockStress::~BlockStress() = default;

std::vector<StressRows> BlockStress::rows(const Columns &u, const Columns &threads) const
{
  check_columns(impl_->elasticity, u, threads);
  std::vector<StressRows> states;
  in_blocks(u.cols(), [&](auto width, Eigen::Index first) {
    const auto block = impl_->recover<width>(impl_->full, u, first, true);
    append(states, impl_->full_rows(block, u, threads));
  });
  return states;
}

std::vector<StressRows> BlockStress::learn(const Columns &u, const Columns &threads, double share)
{
  check_columns(impl_->elasticity, u, threads);
  std::vector<StressRows> states;
  in_blocks(u.cols(), [&](auto width, Eigen::Index first) {
    const auto block = impl_->recover<width>(impl_->full, u, first, true);
    append(states, impl_->full_rows(block, u, threads));
    impl_->mark(block, share);
  });
  impl_->chosen     = impl_->select(impl_->marked);
  impl_->any_learnt = impl_->any_learnt || u.cols() > 0;
  return states;
}

std::vector<StressRows> BlockStress::rows_at_candidates(const Columns &u, const Columns &threads) const
{
  check_columns(impl_->elasticity, u, threads);
  if (!has_candidates())
    throw Error("stress at candidates: no state has been learnt");
  std::vector<StressRows> states;
  in_blocks(u.cols(), [&](auto width, Eigen::Index first) {
    append(states, impl_->candidate_rows(impl_->recover<width>(impl_->chosen, u, first, false), threads));
  });
  return states;
}

void BlockStress::forget()
{
  impl_->any_learnt = false;
  impl_->chosen     = {};
  impl_->marked.assign(impl_->all.node.size(), 0);
  impl_->learnt_mises.assign(impl_->all.node.size(), 0);
  impl_->learnt_tension = impl_->learnt_mises;
  impl_->mark_shafts();
}

bool   BlockStress::has_candidates() const { return impl_->any_learnt; }
double BlockStress::candidate_cells() const
{
  return double(impl_->chosen.plan.cells.size()) / double(impl_->full.plan.cells.size());
}
} // namespace stifle::solver
