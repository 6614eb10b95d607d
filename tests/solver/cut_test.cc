#include "tests/solver/block_construct.h"
#include "models/core/error.h"
#include "solver/cut_newton.h"
#include "solver/patch_load.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
ConstructState solve_block(const BlockShape &shape, const std::vector<PointForce> &loads, const CutLaw &law)
{
  const auto     construct = block_construct(shape);
  ConstructModel model(construct, block_anatomy(), Levelling(), block_materials());
  return model.solve(loads, law);
}
} // namespace

// Requirement: a closed cut under uniform pressure passes it on (patch test). 360 N on 6 x 6 mm = 10 MPa everywhere, on a
// plane cut and on a leaning one (tan 0.2 < friction 0.4, so it sticks).
TEST(Cut, PassesUniformPressure)
{
  for (const double slope : {0.0, 0.2})
  {
    BlockShape shape;
    shape.slope_rad      = slope;
    const auto     block = block_construct(shape);
    ConstructModel model(block, block_anatomy(), Levelling(), block_materials());
    CutLaw         law;
    const auto     state = model.solve({top_load({0, 0, 8}, {0, 0, -360})}, law);
    ASSERT_TRUE(state.converged);
    EXPECT_NEAR(state.cut.contact_percent, 100, 1e-9);
    EXPECT_NEAR(state.cut.load_through_bone_percent, 100, 1e-6);
    double worst = 0;
    for (const auto &s : model.field().stress_mpa)
      for (int k = 0; k < 6; ++k)
        worst = std::max(worst, std::abs(s[k] - (k == 2 ? -10.0 : 0.0)));
    EXPECT_LT(worst, 1e-6 * 10) << "slope " << slope;
  }
}

// Requirement: faces that lie apart touch where their distance is passed. Hand: 36 mm^2, the upper block 0.3 mm above the lower and
// sunk by 0.35 mm: 1e4 * 0.05 * 36 = 18000 N; sunk by 0.29 mm: nothing. Without leave such faces are an error.
TEST(Cut, TouchesWhereFacesApartMeet)
{
  auto block = block_construct(BlockShape());
  for (std::size_t t = 0; t < block.mesh.tetrahedra.size(); ++t)
    if (block.mesh.component[block.mesh.part[t]] == 0)
      for (const unsigned v : block.mesh.tetrahedra[t])
        if (block.mesh.points[v].z() < 8.1)
          block.mesh.points[v].z() += 100.3; // once each
  for (Vector3 &x : block.mesh.points)
    x.z() -= x.z() > 50 ? 100 : 0;
  const Elasticity e(block.mesh, std::vector<IsotropicMaterial>(block.mesh.parts.size(), {1000, 0.3}));
  EXPECT_THROW(CutFaces{e}, Error);
  const CutFaces faces(e, false, true);
  for (const auto &[sunk, expected] : {std::pair(0.35, 18000.0), std::pair(0.29, 0.0)})
  {
    Vector w = Vector::Zero(3 * faces.n_pairs());
    for (std::size_t p = 0; p < faces.n_pairs(); ++p)
    {
      EXPECT_NEAR(std::abs(faces.pairs()[p].apart_mm), 0.3, 1e-9);
      w(3 * p) = -sunk;
    }
    const Vector q = faces.contact_force(w, {1e4, 0.4, 0});
    double       force = 0;
    for (std::size_t p = 0; p < faces.n_pairs(); ++p)
      force -= q(3 * p);
    EXPECT_NEAR(force, expected, 1e-6);
  }
}

// Requirement: faces that stand apart by a gap carry by callus alone until they meet. Hand, 10 MPa on callus of 10 N/mm^3: the cut
// shortens by 1 mm while the gap is wider; a gap of 0.4 mm closes, 10 = 10 w + 1e4 (w - 0.4), w = 4010 / 10010 mm.
TEST(Cut, StandsOpenByItsGap)
{
  const auto block = block_construct(BlockShape());
  ConstructModel model(block, block_anatomy(), Levelling(), block_materials());
  const PointForce load = top_load({0, 0, 8}, {0, 0, -360});
  const auto sunk_mm = [&](const CutLaw &law)
  {
    const auto state = model.solve({load}, law);
    EXPECT_TRUE(state.converged);
    EXPECT_NEAR(state.cut.contact_percent, law.bonded || law.gap_mm < 1 ? 100 : 0, 1e-9);
    EXPECT_NEAR(state.cut.load_through_bone_percent, 100, 1e-6);
    double sum = 0, n = 0;
    for (std::size_t i = 0; i < model.elasticity().n_nodes(); ++i)
      if (model.elasticity().nodes()[i].z() > 8 - 1e-9)
        sum -= model.displacement()(3 * i + 2), n += 1;
    return sum / n;
  };
  CutLaw bonded, wide, narrow;
  bonded.bonded = true;
  wide.callus_normal = narrow.callus_normal = wide.callus_tangential = narrow.callus_tangential = 10;
  wide.gap_mm = 2;
  narrow.gap_mm = 0.4;
  const double elastic = sunk_mm(bonded);
  EXPECT_NEAR(sunk_mm(wide) - elastic, 1, 1e-6);
  EXPECT_NEAR(sunk_mm(narrow) - elastic, 4010.0 / 10010, 1e-6);
}

// Requirement: reactions equal the loads, force and moment. Hand calculation: F = (3, -4, -50) N at (1, 2, 8), hock at
// (0, 0, -10): moment of the reaction = -(1, 2, 18) x (3, -4, -50) = -(2*-50 - 18*-4, 18*3 - 1*-50, 1*-4 - 2*3)
//            = -(-28, 104, -10) = (28, -104, 10) N mm. The nodal forces carry exactly this.
TEST(Support, ReactionEqualsTheLoad)
{
  const auto     block = block_construct(BlockShape());
  ConstructModel model(block, block_anatomy(), Levelling(), block_materials());
  CutLaw         law;
  law.bonded       = true;
  const auto state = model.solve({top_load({1, 2, 8}, {3, -4, -50})}, law);
  EXPECT_LT((state.reaction_force_n - Vector3(-3, 4, 50)).norm(), 1e-10);
  EXPECT_LT((state.reaction_moment_nmm - Vector3(28, -104, 10)).norm(), 1e-10);
  Vector3      force = Vector3::Zero(), moment = Vector3::Zero();
  const auto   talar = make_patch(block.mesh, block.mesh.find_surface("talar")->triangles);
  const auto   mean  = mean_motion(model.elasticity(), talar, model.displacement());
  EXPECT_LT(mean.displacement.norm(), 1e-14);
  EXPECT_LT(mean.rotation.norm(), 1e-14);
  for (std::size_t i = 0; i < model.elasticity().n_nodes(); ++i)
    if (model.elasticity().nodes()[i].z() < 1e-9) // the talar face
    {
      const Vector3 f = model.nodal_force().segment<3>(3 * i);
      force += f;
      moment += (model.elasticity().nodes()[i] - Vector3(0, 0, -10)).cross(f);
    }
  EXPECT_LT((force - state.reaction_force_n).norm(), 1e-10);
  EXPECT_LT((moment - state.reaction_moment_nmm).norm(), 1e-9);
}

// Requirement: a landmark load keeps force and moment about its landmark when spread over a patch, to 1e-10.
TEST(Support, PatchLoadHasExactResultants)
{
  BlockShape shape;
  shape.skew           = 0.3;
  const auto     block = block_construct(shape);
  const Elasticity e(block.mesh, std::vector<IsotropicMaterial>(block.mesh.parts.size(), {1000, 0.3}));
  const PointForce load{"patellar_tendon", {4, -3, 9}, {20, -7, 300}, true};
  Vector           f = Vector::Zero(3 * e.n_nodes());
  add_resultant(e, landmark_patch(block.mesh, load), load.force_n, Vector3::Zero(), load.point_mm, f);
  Vector3 force = Vector3::Zero(), moment = Vector3::Zero();
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
  {
    force += f.segment<3>(3 * i);
    moment += (e.nodes()[i] - load.point_mm).cross(Vector3(f.segment<3>(3 * i)));
  }
  EXPECT_LT((force - load.force_n).norm(), 1e-10);
  EXPECT_LT(moment.norm(), 1e-10);
}

// Requirement (Coulomb): a block pressed with N and pushed along the cut by T holds while T < friction * N and finds no
// balance beyond. The push acts in the plane of the cut, so the pressure has no moment to carry.
TEST(Cut, BlockSlipsAtTheAngleOfFriction)
{
  BlockShape shape;
  CutLaw     law;
  law.friction = 0.3;
  for (const double ratio : {0.1, 0.28, 0.295})
    EXPECT_TRUE(solve_block(shape, {top_load({0, 0, 4}, {-ratio * 360, 0, -360})}, law).converged) << ratio;
  for (const double ratio : {0.305, 0.5})
    EXPECT_FALSE(solve_block(shape, {top_load({0, 0, 4}, {-ratio * 360, 0, -360})}, law).converged) << ratio;
}

// Requirement: on a leaning cut under dead weight the block holds when tan(slope) < friction and slips beyond.
TEST(Cut, LeaningBlockSlipsWhenTheSlopePassesFriction)
{
  BlockShape shape;
  CutLaw     law;
  law.friction = 0.3;
  shape.slope_rad = std::atan(0.28);
  EXPECT_TRUE(solve_block(shape, {top_load({0, 0, 8}, {0, 0, -360})}, law).converged);
  shape.slope_rad = std::atan(0.32);
  EXPECT_FALSE(solve_block(shape, {top_load({0, 0, 8}, {0, 0, -360})}, law).converged);
}

// Requirement: without friction the cut carries no shear: a leaning block pressed along the normal of the cut balances,
// and the force along the tangents of the cut vanishes.
TEST(Cut, FrictionlessSlopeCarriesOnlyNormalForce)
{
  BlockShape shape;
  shape.slope_rad = 0.3;
  CutLaw law;
  law.friction         = 0;
  law.callus_normal    = 1e-6; // holds the otherwise free slide at rest
  law.callus_tangential = 1e-6;
  const Vector3  normal(-std::sin(0.3), 0, std::cos(0.3));
  const auto     block = block_construct(shape);
  ConstructModel model(block, block_anatomy(), Levelling(), block_materials());
  const auto     state = model.solve({top_load({0, 0, 4}, -360 * normal)}, law);
  ASSERT_TRUE(state.converged);
  Vector3 through = Vector3::Zero();
  std::vector<char> seen(model.elasticity().n_nodes(), 0);
  for (const auto &face : block.mesh.cut)
    for (const unsigned node : model.elasticity().face_nodes(face.b))
      if (!seen[node]++)
        through += model.nodal_force().segment<3>(3 * node);
  EXPECT_NEAR(through.dot(normal), -360, 1e-6);
  EXPECT_LT((through - through.dot(normal) * normal).norm(), 1e-4);
}

// Requirement: a cut in tension opens and carries nothing: callus alone holds, so opening = stress / callus stiffness.
// Closed form: 36 N on 36 mm2 = 1 MPa, callus 100 N/mm^3: 0.01 mm; fully in tension, no contact.
TEST(Cut, CallusCarriesTension)
{
  CutLaw law;
  law.callus_normal = law.callus_tangential = 100;
  const auto state  = solve_block(BlockShape(), {top_load({0, 0, 8}, {0, 0, 36})}, law);
  ASSERT_TRUE(state.converged);
  EXPECT_NEAR(state.cut.gap_opening_max_mm, 0.01, 1e-9);
  EXPECT_NEAR(state.cut.contact_percent, 0, 1e-12);
}

// Requirement: Newton on the full tangent is superlinear: once near, each residual is far below the last.
TEST(Cut, NewtonConvergesSuperlinearly)
{
  const auto       block = block_construct(BlockShape());
  const Elasticity e(block.mesh, std::vector<IsotropicMaterial>(block.mesh.parts.size(), {1000, 0.3}));
  const CutFaces   faces(e);
  const int        n = static_cast<int>(3 * faces.n_pairs());
  // A made-up compliance: springs of 500 N/mm on each unknown, and a base that closes one half and opens the other.
  const Eigen::MatrixXd compliance = Eigen::MatrixXd::Identity(n, n) / 500 + Eigen::MatrixXd::Constant(n, n, 1e-5);
  Vector                base(n);
  for (std::size_t p = 0; p < faces.n_pairs(); ++p)
    base.segment<3>(3 * p) = Vector3(0.01 * e.nodes()[faces.pairs()[p].distal].x() - 0.005, 0.004, 0.001 * p / faces.n_pairs());
  const Vector load = compliance.ldlt().solve(base);
  const auto   s    = solve_cut({faces, load, [&]() -> const Eigen::MatrixXd & { return compliance; }, nullptr}, {1e4, 0.3}, base);
  ASSERT_TRUE(s.converged);
  ASSERT_GE(s.history.size(), 3u);
  const double last = s.history.back(), before = s.history[s.history.size() - 2];
  EXPECT_LT(last, std::max(1e-4 * before, 1e-14)); // 1e-14: rounding
}
