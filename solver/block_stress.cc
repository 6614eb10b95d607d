#include "solver/block_stress.h"
#include "models/core/error.h"
#include "solver/guard_lanes.h"
#include "solver/recover_stress.h"
#include "solver/reference_element.h"

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
  GuardPlan          guard; ///< of all that is not chosen
  std::vector<char>  excluded, marked; ///< per entry
  bool               any_learnt = false;

  Selection select(const std::vector<char> &wanted) const;
  void      choose(); ///< what is marked
  void      mark_shafts();

  template <int W> Block<W> recover(const Selection &selection, const Columns &u, Eigen::Index first, bool with_yield) const;
  template <int W> std::vector<StressRows> full_rows(const Block<W> &block, const Columns &u, const Columns &threads) const;
  template <int W> std::vector<StressRows> candidate_rows(const Block<W> &block, const Columns &u, const Columns &threads) const;
  template <int W> std::vector<ScrewShaft> shaft_rows(const Block<W> &block, int lane, const Columns &threads) const;
  template <int W> void                    add_details(const Block<W> &block, const Columns &u, std::vector<std::vector<PeakRow>> &rows) const;
  template <int W> void                    mark(const Block<W> &block, const Columns &u, double share);
};

Selection BlockStress::Implementation::select(const std::vector<char> &wanted) const
{
  Selection s{make_plan(elasticity, all, wanted), {}, std::vector<unsigned>(all.node.size(), no_entry)};
  s.groups = peaks.groups(s.plan.node, s.plan.part);
  for (std::size_t i = 0; i < s.plan.entries.size(); ++i)
    s.place[s.plan.entries[i]] = static_cast<unsigned>(i);
  return s;
}

// Nodes of a cell that the guard looks at.
static std::array<signed char, 10> looked_at(const StressCell &cell, const std::vector<char> &excluded)
{
  std::array<signed char, 10> look;
  for (int i = 0; i < 10; ++i)
    look[i] = cell.entry[i] == no_entry ? -1 : excluded[cell.entry[i]];
  for (int e = 0; e < 6; ++e)
    if (look[tetrahedron_edges[e][0]] == look[4 + e] && look[tetrahedron_edges[e][1]] == look[4 + e])
      look[4 + e] = -1;
  return look;
}

void BlockStress::Implementation::choose()
{
  chosen = select(marked);
  std::vector<char> rest;
  for (const char m : marked)
    rest.push_back(!m);
  guard = {make_plan(elasticity, all, rest), {}};
  std::vector<char> groups;
  for (const unsigned e : guard.plan.entries)
    groups.push_back(excluded[e]);
  for (const StressCell &cell : guard.plan.cells)
    guard.look.push_back(looked_at(cell, groups));
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
std::vector<StressRows> BlockStress::Implementation::candidate_rows(const Block<W> &block, const Columns &u, const Columns &threads) const
{
  const auto nodal  = gather<W>(guard.plan, u, block.first, block.used);
  const auto bounds = bound_lanes<W>(guard, nodal.data(), elasticity.has_own_materials(), [&](unsigned p) { return peaks.material(p); });
  std::vector<StressRows> states;
  for (int s = 0; s < block.used; ++s)
  {
    bool moved = false;
    for (std::size_t p = 0; p < bounds.size(); ++p)
      moved = moved || bounds[p].above(block.parts[p][s], s);
    states.push_back({plain(peaks.peak_rows(block.of_lane(s), block.selection.plan.node)), shaft_rows(block, s, threads), moved});
  }
  return states;
}

namespace
{
/// One over the peaks of a part, 0 where there is none.
template <int W> struct InversePeaks
{
  Lanes<W> mises[2], tension, stretch, shortening;
  InversePeaks(const LaneExtremes<W> &peaks)
  {
    const auto inverse = [](double peak) { return peak > 0 ? 1 / peak : 0; };
    for (int s = 0; s < W; ++s)
    {
      const double kept = peaks[s].von_mises[0].mpa;
      mises[0](s)       = inverse(kept);
      mises[1](s)       = inverse(std::max(kept, peaks[s].von_mises[1].mpa));
      tension(s)        = inverse(peaks[s].tension.mpa);
      stretch(s)        = inverse(peaks[s].stretch);
      shortening(s)     = inverse(peaks[s].shortening);
    }
  }
  double share(const LaneField<W> &field, int node, int group) const
  {
    const Lanes<W> v = field.von_mises(node), of_mises = v * mises[group];
    if (group == 1)
      return of_mises.maxCoeff();
    const PrincipalBounds<W> b(field, node, v);
    return of_mises.max(b.tension * tension).max(b.stretch * stretch).max(b.shortening * shortening).maxCoeff();
  }
};
} // namespace

// By the cells' own values, which are what the guard bounds the rest with.
template <int W> void BlockStress::Implementation::mark(const Block<W> &block, const Columns &u, double share)
{
  std::vector<InversePeaks<W>> inverse(block.parts.begin(), block.parts.end());
  for (const LaneExtremes<W> &part : block.parts)
    for (const Extremes &x : part)
      for (const Extremes::Peak &peak : x.von_mises)
        if (peak.entry >= 0)
          marked[peak.entry] = 1;
  const auto             nodal = gather<W>(full.plan, u, block.first, block.used);
  std::vector<double>    stress(60 * W), strain(60 * W);
  const bool             with_strain = elasticity.has_own_materials();
  constexpr std::array<signed char, 10> all_nodes{};
  CornerLanes<W>         own_strain, own;
  for (const StressCell &cell : full.plan.cells)
  {
    own_lanes<W>(full.plan, cell, nodal.data(), own_strain, own);
    ten_nodes<W>(own, all_nodes, stress.data());
    if (with_strain)
      ten_nodes<W>(own_strain, all_nodes, strain.data());
    const unsigned     part = elasticity.mesh().part[cell.cell];
    const LaneField<W> field{stress.data(), with_strain ? strain.data() : nullptr, peaks.material(part)};
    for (int i = 0; i < 10; ++i)
      marked[cell.entry[i]] = marked[cell.entry[i]] || inverse[part].share(field, i, excluded[cell.entry[i]]) >= share;
  }
}

BlockStress::BlockStress(const Elasticity &elasticity, const PeakTable &peaks, const ScrewShafts &shafts)
  : impl_(new Implementation{elasticity, peaks, shafts, number_entries(elasticity), {}, {}, {}, {}, {}})
{
  for (std::size_t e = 0; e < impl_->all.node.size(); ++e)
    impl_->excluded.push_back(peaks.excluded(impl_->all.node[e], impl_->all.part[e]));
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
    impl_->mark(block, u, share);
  });
  impl_->choose();
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
    append(states, impl_->candidate_rows(impl_->recover<width>(impl_->chosen, u, first, false), u, threads));
  });
  return states;
}

void BlockStress::forget()
{
  impl_->any_learnt = false;
  impl_->chosen     = {};
  impl_->marked.assign(impl_->all.node.size(), 0);
  impl_->mark_shafts();
}

bool   BlockStress::has_candidates() const { return impl_->any_learnt; }
double BlockStress::candidate_cells() const
{
  return double(impl_->chosen.plan.cells.size()) / double(impl_->full.plan.cells.size());
}
} // namespace stifle::solver
