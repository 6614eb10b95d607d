#include "tests/solver/block_construct.h"
#include "tests/support/plain_stiffness.h"
#include "models/core/error.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
CutLaw bonded_law()
{
  CutLaw law;
  law.bonded = true;
  return law;
}

std::vector<PointForce> skewed_loads(double scale, bool mirrored)
{
  const double s = mirrored ? -1 : 1;
  return {top_load({0.5, s * 0.7, 8}, scale * Vector3(4, s * -6, -300)), {"hamstrings", {3, s * 1, 2}, scale * Vector3(10, s * 5, 8), false}};
}

mesh::ConstructMesh lopsided(bool mirrored)
{
  BlockShape shape;
  shape.skew      = 0.4;
  shape.slope_rad = 0.1;
  shape.mirrored  = mirrored;
  return block_construct(shape);
}
} // namespace

// Requirement: K u = f can be checked from the field alone, cut forces and support included; the assembly of the test is
// its own (tests/support/plain_stiffness.h).
TEST(ConstructModel, FieldCarriesEveryForce)
{
  const auto     construct = lopsided(false);
  ConstructModel model(construct, block_anatomy(), Levelling(), block_materials());
  CutLaw         fresh, healing;
  healing.callus_normal = healing.callus_tangential = 50;
  for (const CutLaw &law : {bonded_law(), fresh, healing})
  {
    ASSERT_TRUE(model.solve(skewed_loads(1, false), law).converged);
    EXPECT_LT(worst_unbalanced(model.field()), 1e-8);
  }
}

// Requirement: with a bonded cut everything is linear: doubled loads double stress, strain, drift and reactions.
TEST(ConstructModel, DoubledLoadsDoubleEveryLinearResult)
{
  const auto     construct = lopsided(false);
  ConstructModel model(construct, block_anatomy(), Levelling(), block_materials());
  const auto     one = model.solve(skewed_loads(1, false), bonded_law());
  const auto     two = model.solve(skewed_loads(2, false), bonded_law());
  ASSERT_EQ(one.peaks.size(), two.peaks.size());
  ASSERT_GE(one.peaks.size(), 2u);
  for (std::size_t i = 0; i < one.peaks.size(); ++i)
  {
    EXPECT_GT(one.peaks[i].von_mises_mpa, 1);
    EXPECT_NEAR(two.peaks[i].von_mises_mpa, 2 * one.peaks[i].von_mises_mpa, 1e-9 * one.peaks[i].von_mises_mpa);
    EXPECT_NEAR(two.peaks[i].principal_strain, 2 * one.peaks[i].principal_strain, 1e-9 * one.peaks[i].principal_strain);
    EXPECT_NEAR(two.peaks[i].error_estimate_percent, one.peaks[i].error_estimate_percent, 1e-6);
  }
  EXPECT_NE(one.cut.plateau_drift_deg, 0);
  EXPECT_NEAR(two.cut.plateau_drift_deg, 2 * one.cut.plateau_drift_deg, 1e-9 * std::abs(one.cut.plateau_drift_deg));
  EXPECT_LT((two.reaction_force_n - 2 * one.reaction_force_n).norm(), 1e-9);
}

// Requirement: a state of a later week starts from the same load of an earlier week, not only from the last state solved: fewer
// iterations than from another load, and the same answer.
TEST(ConstructModel, LaterWeekStartsFromTheMostAlikeLoad)
{
  const auto construct = lopsided(false);
  CutLaw     fresh, later;
  later.callus_normal = later.callus_tangential = 2;
  const auto tilted = [](double x) { return std::vector<PointForce>{top_load({x, 0.7, 8}, Vector3(40 * x, -6, -300))}; };
  const auto last_week = [&](const std::vector<double> &places) {
    auto model = std::make_unique<ConstructModel>(construct, block_anatomy(), Levelling(), block_materials());
    for (const double x : places)
      EXPECT_TRUE(model->solve(tilted(x), fresh).converged);
    const auto state = model->solve(tilted(1.5), later);
    EXPECT_TRUE(state.converged);
    return std::pair(state.contact_iterations, model->displacement());
  };
  const auto knows = last_week({1.5, -1.5}), strange = last_week({-1.5});
  EXPECT_LT(knows.first, strange.first);
  EXPECT_LT((knows.second - strange.second).norm(), 1e-7 * strange.second.norm());
}

// Requirement: a mirrored limb (y -> -y) under mirrored loads gives the same tables to 1e-8, with contact and friction.
TEST(ConstructModel, MirroredLimbGivesTheSameTables)
{
  const auto     right = lopsided(false), left = lopsided(true);
  ConstructModel right_model(right, block_anatomy(), Levelling(), block_materials());
  ConstructModel left_model(left, block_anatomy(), Levelling(), block_materials());
  const auto     a = right_model.solve(skewed_loads(1, false), CutLaw()), b = left_model.solve(skewed_loads(1, true), CutLaw());
  ASSERT_TRUE(a.converged && b.converged);
  ASSERT_EQ(a.peaks.size(), b.peaks.size());
  for (std::size_t i = 0; i < a.peaks.size(); ++i)
  {
    EXPECT_NEAR(a.peaks[i].von_mises_mpa, b.peaks[i].von_mises_mpa, 1e-8 * a.peaks[i].von_mises_mpa);
    EXPECT_NEAR(a.peaks[i].place_mm.y(), -b.peaks[i].place_mm.y(), 1e-8);
    EXPECT_NEAR(a.peaks[i].principal_strain, b.peaks[i].principal_strain, 1e-8 * a.peaks[i].principal_strain);
  }
  EXPECT_NEAR(a.cut.contact_percent, b.cut.contact_percent, 1e-8);
  EXPECT_NEAR(a.cut.slip_max_mm, b.cut.slip_max_mm, 1e-8);
  EXPECT_NEAR(a.cut.plateau_drift_deg, b.cut.plateau_drift_deg, 1e-8);
}

// Requirement: the drift is positive when the slope rises: the caudal end (-x) goes down. Callus alone, load on the caudal half.
TEST(ConstructModel, DriftIsPositiveWhenTheCaudalEndSinks)
{
  const auto     construct = block_construct(BlockShape());
  ConstructModel model(construct, block_anatomy(), Levelling(), block_materials());
  CutLaw         law;
  law.callus_normal = law.callus_tangential = 100;
  EXPECT_GT(model.solve({top_load({-0.5, 0, 8}, {0, 0, -100})}, law).cut.plateau_drift_deg, 1e-4);
  EXPECT_LT(model.solve({top_load({0.5, 0, 8}, {0, 0, -100})}, law).cut.plateau_drift_deg, -1e-4);
}

// Requirement: the volume above yield is the whole part when the uniform stress passes yield, and nothing below it.
// 360 N on 36 mm2 = 10 MPa; upper half of the block: 6 x 6 x 4 mm = 144 mm3.
TEST(ConstructModel, CountsTheVolumeAboveYield)
{
  const auto construct = block_construct(BlockShape());
  for (const double yield : {9.9, 10.1})
  {
    auto materials             = block_materials();
    materials.cortex.yield_mpa = yield;
    ConstructModel model(construct, block_anatomy(), Levelling(), materials);
    const auto     state = model.solve({top_load({0, 0, 8}, {0, 0, -360})}, bonded_law());
    for (const PartPeak &peak : state.peaks)
      EXPECT_NEAR(peak.volume_above_yield_mm3, yield < 10 ? 144 : 0, 1e-6);
  }
}

// Requirement: peaks within the stated distance of an excluded line do not count for the part; they get their own row.
TEST(ConstructModel, ListsExcludedPeaksApart)
{
  auto construct = block_construct(BlockShape());
  // A bent column has its peak at an edge of the foot: exclude both edges along y at the foot.
  construct.mesh.excluded = {{{-3, -3, 0}, {-3, 3, 0}}, {{3, -3, 0}, {3, 3, 0}}, {{-3, -3, 8}, {-3, 3, 8}}, {{3, -3, 8}, {3, 3, 8}}};
  ConstructModel model(construct, block_anatomy(), Levelling(), block_materials());
  const auto     state = model.solve({top_load({0, 0, 8}, {30, 0, -100})}, bonded_law());
  bool           found = false;
  for (const PartPeak &peak : state.peaks)
  {
    const bool at_line = std::abs(std::abs(peak.place_mm.x()) - 3) <= 1 && (peak.place_mm.z() <= 1 || peak.place_mm.z() >= 7);
    EXPECT_EQ(peak.excluded, at_line) << peak.part;
    found = found || peak.excluded;
  }
  EXPECT_TRUE(found);
}

// Requirement: what cannot be computed is refused by name.
TEST(ConstructModel, RefusesUnknownPartsAndMissingSupport)
{
  auto construct          = block_construct(BlockShape());
  construct.mesh.parts[0] = "mystery";
  EXPECT_THROW(ConstructModel(construct, block_anatomy(), Levelling(), block_materials()), Error);
  construct               = block_construct(BlockShape());
  construct.mesh.surfaces.clear();
  EXPECT_THROW(ConstructModel(construct, block_anatomy(), Levelling(), block_materials()), Error);
}
