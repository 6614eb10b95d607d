#include "tests/solver/demo_construct.h"
#include "models/healing/callus.h"
#include "tests/support/plain_stiffness.h"
#include <gtest/gtest.h>
#include <thread>

using namespace stifle;
using namespace stifle::solver;

namespace
{
/// Largest difference of two columns, relative to the largest entry.
double column_difference(const std::vector<double> &a, const std::vector<double> &b)
{
  double largest = 0, difference = 0;
  for (std::size_t i = 0; i < a.size(); ++i)
  {
    largest    = std::max(largest, std::abs(a[i]));
    difference = std::max(difference, std::abs(a[i] - b[i]));
  }
  return largest > 0 ? difference / largest : difference;
}

template <class Row, class Get> double rows_difference(const std::vector<Row> &a, const std::vector<Row> &b, Get get)
{
  std::vector<double> column_a, column_b;
  for (const Row &row : a)
    column_a.push_back(get(row));
  for (const Row &row : b)
    column_b.push_back(get(row));
  return column_a.size() == column_b.size() ? column_difference(column_a, column_b) : 1;
}

CutLaw at_week(double week) // as scenarios/app does, gap 1 mm, Poisson's ratio 0.3
{
  CutLaw law;
  law.callus_normal     = callus_modulus_mpa(week);
  law.callus_tangential = callus_modulus_mpa(week) / 2.6;
  return law;
}

CutLaw bonded()
{
  CutLaw law;
  law.bonded = true;
  return law;
}

void expect_same_tables(const ConstructState &a, const ConstructState &b)
{
  ASSERT_EQ(a.peaks.size(), b.peaks.size());
  for (std::size_t i = 0; i < a.peaks.size(); ++i)
  {
    EXPECT_EQ(a.peaks[i].part, b.peaks[i].part);
    EXPECT_EQ(a.peaks[i].excluded, b.peaks[i].excluded);
    EXPECT_NEAR(a.peaks[i].von_mises_mpa, b.peaks[i].von_mises_mpa, 1e-8 * a.peaks[i].von_mises_mpa) << a.peaks[i].part;
    EXPECT_NEAR(a.peaks[i].principal_strain, b.peaks[i].principal_strain, 1e-8 * a.peaks[i].principal_strain);
    EXPECT_LT((a.peaks[i].place_mm - mirrored(b.peaks[i].place_mm)).norm(), 1e-9);
  }
  EXPECT_NEAR(a.cut.contact_percent, b.cut.contact_percent, 1e-8 * 100);
  EXPECT_NEAR(a.cut.gap_opening_max_mm, b.cut.gap_opening_max_mm, 1e-8 * a.cut.gap_opening_max_mm);
  EXPECT_NEAR(a.cut.slip_max_mm, b.cut.slip_max_mm, 1e-8 * a.cut.slip_max_mm);
  EXPECT_NEAR(a.cut.plateau_drift_deg, b.cut.plateau_drift_deg, 1e-8 * std::abs(a.cut.plateau_drift_deg));
  EXPECT_NEAR(a.cut.load_through_bone_percent, b.cut.load_through_bone_percent, 1e-8 * std::abs(a.cut.load_through_bone_percent));
  EXPECT_LT(rows_difference(a.screws, b.screws, [](const ScrewResult &s) { return s.axial_n; }), 1e-8);
  EXPECT_LT(rows_difference(a.screws, b.screws, [](const ScrewResult &s) { return s.shear_n; }), 1e-8);
  EXPECT_LT(rows_difference(a.screws, b.screws, [](const ScrewResult &s) { return s.bending_nmm; }), 1e-8);
}
} // namespace

// Requirement: the left limb is the mirror image of the right one: the same peaks, cut and screw results to 1e-8, for the
// fresh cut, with callus and bonded.
TEST(DemoConstruct, MirrorImageGivesTheSameTables)
{
  const Demo     left = mirrored(demo());
  ConstructModel right_model(demo().construct, demo().anatomy, demo().levelling, demo().materials);
  ConstructModel left_model(left.construct, left.anatomy, left.levelling, left.materials);
  for (const CutLaw &law : {at_week(0), at_week(6), bonded()})
  {
    const auto a = right_model.solve(demo().loads, law), b = left_model.solve(left.loads, law);
    ASSERT_TRUE(a.converged && b.converged);
    EXPECT_GT(a.screws.at(2).axial_n, 0.1); // there is something to compare
    expect_same_tables(a, b);
  }
}

// Requirement: callus stiffens the cut. It opens and slips less than the fresh cut; a bonded cut neither opens nor slips;
// as callus gets very stiff everything tends to the bonded cut (1e8 N/mm^3 against bone of 2e4 MPa and elements of 5 mm:
// 2e4 / 5 / 1e8 = 4e-5 of the bone's own strain). Every field balances.
TEST(DemoConstruct, CallusLeadsFromFreshToBonded)
{
  ConstructModel model(demo().construct, demo().anatomy, demo().levelling, demo().materials);
  std::vector<ConstructState> states;
  CutLaw                      hard;
  hard.callus_normal = hard.callus_tangential = 1e8;
  for (const CutLaw &law : {at_week(0), at_week(4), at_week(8), hard, bonded()})
  {
    states.push_back(model.solve(demo().loads, law));
    ASSERT_TRUE(states.back().converged);
    EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
  }
  for (std::size_t i = 1; i < 4; ++i)
  {
    EXPECT_LT(states[i].cut.gap_opening_max_mm, states[i - 1].cut.gap_opening_max_mm);
    EXPECT_LT(states[i].cut.slip_max_mm, states[i - 1].cut.slip_max_mm);
  }
  EXPECT_EQ(states[4].cut.gap_opening_max_mm, 0);
  EXPECT_EQ(states[4].cut.slip_max_mm, 0);
  ASSERT_EQ(states[3].peaks.size(), states[4].peaks.size());
  for (std::size_t i = 0; i < states[3].peaks.size(); ++i)
    EXPECT_NEAR(states[3].peaks[i].von_mises_mpa, states[4].peaks[i].von_mises_mpa, 1e-3 * states[4].peaks[i].von_mises_mpa);
  EXPECT_NEAR(states[3].cut.plateau_drift_deg, states[4].cut.plateau_drift_deg, 1e-3 * std::abs(states[4].cut.plateau_drift_deg));
}

// Requirement: two slopes may be worked on by two threads; no digit depends on it.
TEST(DemoConstruct, TwoThreadsGiveTheSameDigits)
{
  const auto solved = [] {
    ConstructModel model(demo().construct, demo().anatomy, demo().levelling, demo().materials);
    model.solve(demo().loads, CutLaw());
    return Vector(model.displacement());
  };
  const Vector alone = solved();
  Vector       together[2];
  std::thread  other([&] { together[1] = solved(); });
  together[0] = solved();
  other.join();
  for (const Vector &u : together)
    EXPECT_EQ((u - alone).cwiseAbs().maxCoeff(), 0);
}
