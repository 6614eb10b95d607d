// Recovery of stress in blocks of states: against a plain evaluation, and rows at candidates against rows at all entries.
#include "solver/block_stress.h"
#include "models/core/error.h"
#include "solver/bone_law.h"
#include "tests/solver/demo_construct.h"
#include "tests/solver/support/plain_recovery.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
double relative(double a, double b) { return a == b ? 0 : std::abs(a - b) / std::max(std::abs(a), std::abs(b)); }

std::vector<double> low_yields(const mesh::TetMesh &mesh) { return std::vector<double>(mesh.parts.size(), 20); }

/// The demo's mesh with every kind of law when `own`: orthotropic cortex, cancellous bone by depth, one with a free strain on top.
struct Fixture
{
  Elasticity  elasticity;
  PeakTable   peaks;
  ScrewShafts shafts;
  BlockStress block;
  static ConstructMaterials materials(bool own)
  {
    ConstructMaterials m = demo().materials;
    m.orthotropic_cortex = own;
    if (own)
      m.cancellous_levels_mm = std::array<double, 2>{{5, 15}};
    return m;
  }
  explicit Fixture(bool own = false)
    : elasticity(demo().construct.mesh, part_materials(demo().construct.mesh, materials(own)),
                 bone_laws(demo().construct.mesh, demo().anatomy, demo().levelling, materials(own))),
      peaks(elasticity, low_yields(demo().construct.mesh)), shafts(demo().construct, elasticity), block(elasticity, peaks, shafts)
  {
  }
  /// Waves of a few centimetres, another direction and length in every column; no symmetry, strain of the order of 1e-3.
  Eigen::MatrixXd waves(int columns) const
  {
    Eigen::MatrixXd u(3 * elasticity.n_nodes(), columns);
    for (int s = 0; s < columns; ++s)
      for (std::size_t n = 0; n < elasticity.n_nodes(); ++n)
      {
        const Vector3 x = elasticity.nodes()[n];
        for (int a = 0; a < 3; ++a)
          u(3 * n + a, s) = 0.01 * std::sin(0.1 * (1 + s) * x((a + s) % 3) + 0.07 * x((a + 1) % 3) + a + s);
      }
    return u;
  }
};

const Fixture &plain_laws()
{
  static const Fixture f(false);
  return f;
}
const Fixture &own_laws()
{
  static const Fixture f(true);
  return f;
}

// Relative to the size of the tensor: a component near zero has no digits of its own.
template <class Field> double worst(const Field &a, const Field &b)
{
  double worst = a.size() == b.size() ? 0 : 1;
  for (std::size_t e = 0; e < std::min(a.size(), b.size()); ++e)
  {
    const Eigen::Map<const Voigt> x(a[e].data()), y(b[e].data());
    worst = std::max(worst, (x - y).norm() / y.norm());
  }
  return worst;
}

void expect_near(const PartPeak &a, const PartPeak &b)
{
  EXPECT_EQ(a.part, b.part);
  EXPECT_EQ(a.excluded, b.excluded) << a.part;
  EXPECT_EQ(a.place_mm, b.place_mm) << a.part;
  EXPECT_EQ(a.principal_place_mm, b.principal_place_mm) << a.part;
  EXPECT_LT(relative(a.von_mises_mpa, b.von_mises_mpa), 1e-12) << a.part;
  EXPECT_LT(relative(a.principal_mpa, b.principal_mpa), 1e-12) << a.part;
  EXPECT_LT(relative(a.principal_strain, b.principal_strain), 1e-12) << a.part;
  EXPECT_LT(relative(a.tension_strain, b.tension_strain), 1e-12) << a.part;
  EXPECT_LT(relative(a.compression_strain, b.compression_strain), 1e-12) << a.part;
  EXPECT_LT(relative(a.error_estimate_percent, b.error_estimate_percent), 1e-11) << a.part; // a difference of two stresses
  EXPECT_LT(relative(a.volume_above_yield_mm3, b.volume_above_yield_mm3), 1e-12) << a.part;
}

void expect_near(const std::vector<PartPeak> &a, const std::vector<PartPeak> &b)
{
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 0; i < a.size(); ++i)
    expect_near(a[i], b[i]);
}

/// What margins read, digit by digit.
void expect_same(const StressRows &a, const StressRows &b)
{
  ASSERT_EQ(a.peaks.size(), b.peaks.size());
  for (std::size_t i = 0; i < a.peaks.size(); ++i)
  {
    const PartPeak &x = a.peaks[i], &y = b.peaks[i];
    EXPECT_EQ(x.part, y.part);
    EXPECT_EQ(x.excluded, y.excluded) << x.part;
    EXPECT_EQ(x.von_mises_mpa, y.von_mises_mpa) << x.part;
    EXPECT_EQ(x.place_mm, y.place_mm) << x.part;
    EXPECT_EQ(x.principal_strain, y.principal_strain) << x.part;
    EXPECT_EQ(x.tension_strain, y.tension_strain) << x.part;
    EXPECT_EQ(x.compression_strain, y.compression_strain) << x.part;
    EXPECT_EQ(x.principal_mpa, y.principal_mpa) << x.part;
    EXPECT_EQ(x.principal_place_mm, y.principal_place_mm) << x.part;
  }
  ASSERT_EQ(a.shafts.size(), b.shafts.size());
  for (std::size_t i = 0; i < a.shafts.size(); ++i)
  {
    EXPECT_EQ(a.shafts[i].von_mises_mpa, b.shafts[i].von_mises_mpa);
    EXPECT_EQ(a.shafts[i].principal_mpa, b.shafts[i].principal_mpa);
    EXPECT_EQ(a.shafts[i].nominal_mpa, b.shafts[i].nominal_mpa);
    EXPECT_EQ(a.shafts[i].outside_mm, b.shafts[i].outside_mm);
    EXPECT_EQ(a.shafts[i].place_mm, b.shafts[i].place_mm);
  }
}

Eigen::MatrixXd some_threads(const Fixture &f, Eigen::Index columns)
{
  Eigen::MatrixXd force(3 * f.elasticity.n_nodes(), columns);
  for (Eigen::Index s = 0; s < columns; ++s)
    force.col(s) = Vector::LinSpaced(force.rows(), -1, 1 + s).array().sin();
  return force;
}

void check_fields(const Fixture &f)
{
  const Vector          u = f.waves(2).col(1);
  const RecoveredStress plain = plain::recover_stress(f.elasticity, u), r = recover_stress(f.elasticity, u);
  EXPECT_EQ(r.node, plain.node);
  EXPECT_EQ(r.part, plain.part);
  EXPECT_EQ(r.cell_entries, plain.cell_entries);
  EXPECT_LT(worst(r.stress_mpa, plain.stress_mpa), 1e-12);
  EXPECT_LT(worst(r.strain, plain.strain), 1e-12);
  double error = 0, own = 0;
  for (std::size_t c = 0; c < plain.own_mpa.size(); ++c)
  {
    own   = std::max(own, worst(r.own_mpa[c], plain.own_mpa[c]));
    error = std::max(error, relative(r.cell_error_percent[c], plain.cell_error_percent[c]));
  }
  EXPECT_LT(own, 1e-12);
  EXPECT_LT(error, 1e-11); // a difference of two stresses
  for (std::size_t p = 0; p < plain.part_energy_density.size(); ++p)
    EXPECT_LT(relative(r.part_energy_density[p], plain.part_energy_density[p]), 1e-12);
}

void check_rows(const Fixture &f)
{
  const Eigen::MatrixXd u = f.waves(11), threads = some_threads(f, 11); // a full block and a rest
  const auto            rows = f.block.rows(u, threads);
  ASSERT_EQ(rows.size(), 11u);
  double yielded = 0;
  for (int s = 0; s < 11; ++s)
  {
    const RecoveredStress r = plain::recover_stress(f.elasticity, u.col(s));
    expect_near(rows[s].peaks, plain::rows(f.elasticity, f.peaks, r));
    expect_near(f.peaks.rows(r), plain::rows(f.elasticity, f.peaks, r));
    for (const PartPeak &peak : rows[s].peaks)
      yielded += peak.volume_above_yield_mm3;
    const auto shafts = f.shafts.results(r, threads.col(s));
    ASSERT_EQ(rows[s].shafts.size(), shafts.size());
    for (std::size_t k = 0; k < shafts.size(); ++k)
    {
      EXPECT_LT(relative(rows[s].shafts[k].von_mises_mpa, shafts[k].von_mises_mpa), 1e-12);
      EXPECT_LT(relative(rows[s].shafts[k].principal_mpa, shafts[k].principal_mpa), 1e-12);
      EXPECT_EQ(rows[s].shafts[k].nominal_mpa, shafts[k].nominal_mpa);
    }
  }
  EXPECT_GT(yielded, 0);
}
} // namespace

// Requirement: the recovered fields are those of the recovery formula, written out plainly with the shape functions of deal.II.
TEST(BlockStress, FieldsAreThoseOfThePlainFormula) { check_fields(plain_laws()); }

// Requirement: the same with orthotropic cells and cells whose modulus varies in a part; strain is recovered as well.
TEST(BlockStress, FieldsOfOwnLawsAreThoseOfThePlainFormula)
{
  ASSERT_TRUE(own_laws().elasticity.has_own_materials());
  check_fields(own_laws());
}

// Requirement: peaks, error estimates, volumes above yield, principal values and strains of each state of a block are those of the
// plain evaluation.
TEST(BlockStress, RowsAreThoseOfThePlainEvaluation) { check_rows(plain_laws()); }
TEST(BlockStress, RowsOfOwnLawsAreThoseOfThePlainEvaluation) { check_rows(own_laws()); }

// Requirement: free strain (temperature, growth) is taken off as in the plain formula.
TEST(BlockStress, FreeStrainIsTakenOff)
{
  Fixture             f;
  std::vector<double> growth;
  for (const Vector3 &x : demo().construct.mesh.points)
    growth.push_back(1e-4 * std::sin(0.2 * x.z()));
  const Vector          u = f.waves(1).col(0);
  const RecoveredStress before = recover_stress(f.elasticity, u);
  f.elasticity.set_free_strain(growth);
  RecoveredStress r = before; // its plan is kept
  recover_stress(f.elasticity, u, r);
  EXPECT_LT(worst(r.stress_mpa, plain::recover_stress(f.elasticity, u).stress_mpa), 1e-12);
  EXPECT_GT(worst(r.stress_mpa, before.stress_mpa), 1e-3);
}

// Requirement: a state's digits do not depend on the states beside it, and equal those of the field that is written.
TEST(BlockStress, DigitsDoNotDependOnTheBlock)
{
  for (const Fixture *f : {&plain_laws(), &own_laws()})
  {
    const Eigen::MatrixXd u = f->waves(7), threads = some_threads(*f, 7);
    const auto            together = f->block.rows(u, threads);
    for (int s = 0; s < 7; ++s)
    {
      expect_same(f->block.rows(u.col(s), threads.col(s)).at(0), together[s]);
      const RecoveredStress field = recover_stress(f->elasticity, u.col(s));
      expect_same({f->peaks.rows(field), f->shafts.results(field, threads.col(s)), false}, together[s]);
    }
  }
}

namespace
{
/// The demo with peaks that count early.
struct OfDemo
{
  ConstructModel model{demo().construct, demo().anatomy, demo().levelling, demo().materials};
  PeakTable      peaks{model.elasticity(), low_yields(demo().construct.mesh)};
  ScrewShafts    shafts{demo().construct, model.elasticity()};
  BlockStress    block{model.elasticity(), peaks, shafts};
};

/// No thread forces.
Eigen::MatrixXd zero(const Eigen::MatrixXd &u) { return Eigen::MatrixXd::Zero(u.rows(), u.cols()); }

/// Solved states of the demo: loads turned sideways, with a growing callus (N/mm^3).
struct Solved
{
  Eigen::MatrixXd u;
  explicit Solved(ConstructModel &model, const std::vector<double> &sideways, const std::vector<double> &callus)
    : u(model.n_dofs(), sideways.size() * callus.size())
  {
    Eigen::Index s = 0;
    for (const double side : sideways)
      for (const double stiffness : callus)
      {
        std::vector<PointForce> loads = demo().loads;
        for (PointForce &load : loads)
          load.force_n += side * Vector3(1, load.proximal ? 1 : -0.5, 0.3) * load.force_n.norm();
        CutLaw law;
        law.callus_normal = law.callus_tangential = stiffness;
        model.solve(loads, law);
        u.col(s++) = model.displacement();
      }
  }
};
} // namespace

// Requirement: learnt from three loads at week 0 and in callus, what the margins read of loads and weeks between and near them equals that
// of the full field, digit by digit, in every state that is not named; the cells around the candidates are fewer than half.
TEST(BlockStress, CandidatesGiveWhatTheFullFieldGives)
{
  OfDemo       demo_block;
  BlockStress &block = demo_block.block;
  const Solved known(demo_block.model, {-0.1, 0, 0.1}, {0, 1000}), others(demo_block.model, {-0.12, -0.05, 0.03, 0.08, 0.13}, {20, 300, 3000});
  const auto        learnt = block.learn(known.u, zero(known.u));
  EXPECT_GT(block.candidate_cells(), 0.01);
  EXPECT_LT(block.candidate_cells(), 0.5);
  const auto full = block.rows(others.u, zero(others.u)), few = block.rows_at_candidates(others.u, zero(others.u));
  ASSERT_EQ(few.size(), full.size());
  int moved = 0;
  for (std::size_t s = 0; s < few.size(); ++s)
  {
    moved += few[s].moved;
    if (!few[s].moved)
      expect_same(few[s], full[s]);
    for (const PartPeak &peak : few[s].peaks)
    {
      EXPECT_EQ(peak.volume_above_yield_mm3, 0);
      EXPECT_EQ(peak.error_estimate_percent, 0);
    }
  }
  EXPECT_LT(moved, int(few.size()));
  std::printf("  candidates touch %.1f %% of the cells; %d of %zu states may have moved\n", 100 * block.candidate_cells(), moved, few.size());
  const auto again = block.rows_at_candidates(known.u, zero(known.u));
  for (std::size_t s = 0; s < again.size(); ++s)
    expect_same(again[s], learnt[s]);
}

namespace
{
bool same_margins(const StressRows &a, const StressRows &b)
{
  bool same = a.peaks.size() == b.peaks.size();
  for (std::size_t i = 0; same && i < a.peaks.size(); ++i)
  {
    const PartPeak &x = a.peaks[i], &y = b.peaks[i];
    same = x.part == y.part && x.excluded == y.excluded && x.von_mises_mpa == y.von_mises_mpa && x.tension_strain == y.tension_strain &&
           x.compression_strain == y.compression_strain && x.principal_mpa == y.principal_mpa;
  }
  return same;
}
} // namespace

// Requirement: a state with a peak outside the candidates is named (`moved`), whatever was learnt: of turned loads and other
// weeks, every one that is not named has the rows of the full field.
TEST(BlockStress, NamesEveryStateWithAPeakOutsideTheCandidates)
{
  OfDemo       demo_block;
  BlockStress &block = demo_block.block;
  const Solved known(demo_block.model, {0}, {0}), others(demo_block.model, {-0.5, -0.1, -0.02, 0.001, 0.005, 0.02, 0.05, 0.1, 0.5}, {0, 3000});
  const auto        full = block.rows(others.u, zero(others.u));
  for (const double share : {0.5, 0.9})
  {
    block.forget();
    EXPECT_FALSE(block.has_candidates());
    EXPECT_THROW(block.rows_at_candidates(known.u, zero(known.u)), Error);
    block.learn(known.u, zero(known.u), share);
    const auto few = block.rows_at_candidates(others.u, zero(others.u));
    int        differ = 0, named = 0;
    for (std::size_t s = 0; s < few.size(); ++s)
    {
      const bool same = same_margins(few[s], full[s]);
      differ += !same;
      named += few[s].moved;
      EXPECT_TRUE(same || few[s].moved) << s;
    }
    std::printf("  share %.1f: of %zu states %d differ, %d are named; candidates touch %.1f %% of the cells\n", share, few.size(), differ, named,
                100 * block.candidate_cells());
    EXPECT_GT(differ, 0);
  }
}
