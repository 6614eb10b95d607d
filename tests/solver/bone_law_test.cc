#include "models/core/error.h"
#include "solver/bone_law.h"
#include "solver/plastic_construct.h"
#include "solver/support_springs.h"
#include "tests/solver/block_construct.h"
#include "tests/solver/demo_construct.h"
#include "tests/support/plain_stiffness.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
ConstructMaterials other_laws()
{
  ConstructMaterials m     = demo().materials;
  m.orthotropic_cortex     = true;
  m.cancellous_levels_mm   = std::array<double, 2>{{2, 12}};
  return m;
}

Vector3 centre(const mesh::TetMesh &m, std::size_t cell)
{
  Vector3 x = Vector3::Zero();
  for (const unsigned v : m.tetrahedra[cell])
    x += m.points[v] / 4;
  return x;
}

/// Young's modulus of the cell along a direction.
double along(const CellMaterial &m, const Vector3 &direction) { return young_modulus(*m.law, direction.normalized()); }
} // namespace

// Requirement: 692 MPa at and above the top level, 417 at and below the third (construct.md section 6), their mean half way.
TEST(BoneLaw, CancellousModulusFallsFromLevelToLevel)
{
  const ModulusLevels levels = *find_material("cancellous_bone").levels;
  for (const double depth : {-1.0, 0.0, 2.0})
    EXPECT_EQ(modulus_at_depth(levels, {{2, 12}}, depth), 692);
  EXPECT_DOUBLE_EQ(modulus_at_depth(levels, {{2, 12}}, 7), 554.5);
  for (const double depth : {12.0, 50.0})
    EXPECT_EQ(modulus_at_depth(levels, {{2, 12}}, depth), 417);
}

// Requirement: nothing is asked for, nothing differs: the default job keeps its digits.
TEST(BoneLaw, DefaultsGiveNoCellALawOfItsOwn)
{
  EXPECT_TRUE(bone_laws(demo().construct.mesh, demo().anatomy, demo().levelling, demo().materials).empty());
  const ConstructMaterials m = construct_materials(Scenario());
  EXPECT_FALSE(m.orthotropic_cortex);
  EXPECT_FALSE(m.cancellous_levels_mm.has_value());
}

// Requirement: cortex is stiffest along the shaft (20.1 GPa), and its law turns with the proximal segment: there the modulus along the
// TURNED axis is 20.1 GPa, along the axis of the distal segment it is not. Every cortex cell has a law, no metal cell has one.
TEST(BoneLaw, CortexIsStiffestAlongTheShaftAndTurnsWithItsSegment)
{
  const Demo   &d = demo();
  const auto    own = bone_laws(d.construct.mesh, d.anatomy, d.levelling, other_laws());
  const Vector3 shaft = Vector3::UnitZ(), turned = d.levelling.turned(shaft);
  ASSERT_GT(std::acos(turned.z()), radians(15)); // 25 to 6 deg
  std::size_t cortex = 0, cells = 0;
  for (const CellMaterial &m : own)
  {
    const std::string &part = d.construct.mesh.parts[d.construct.mesh.part[m.cell]];
    ASSERT_TRUE(part.rfind("cortex", 0) == 0 || part.rfind("cancellous", 0) == 0) << part;
    if (!m.law)
      continue;
    ++cortex;
    EXPECT_NEAR(along(m, part == "cortex_proximal" ? turned : shaft), 20100, 1e-6);
    if (part == "cortex_proximal") // by hand at 19 deg off axis 3: 18.85 GPa in the plane 1-3, 19.43 in the plane 2-3
    {
      EXPECT_NEAR(along(m, shaft), 19150, 400);
    }
  }
  for (std::size_t c = 0; c < d.construct.mesh.tetrahedra.size(); ++c)
    cells += d.construct.mesh.parts[d.construct.mesh.part[c]].rfind("cortex", 0) == 0;
  EXPECT_EQ(cortex, cells);
}

// Requirement: axis 1 points away from the middle of the shaft: on the medial and lateral side of the mid-shaft the modulus along y is the
// radial one (12.8 GPa) and along x the one around (15.6); on the cranial and caudal side the other way round, within a fifth of
// their difference (cells up to 1 mm beside the middle).
TEST(BoneLaw, AxesOfCortexGoRoundTheShaft)
{
  const Demo &d = demo();
  const auto  own = bone_laws(d.construct.mesh, d.anatomy, d.levelling, other_laws());
  int         sides = 0, ends = 0;
  for (const CellMaterial &m : own)
  {
    const Vector3 x = centre(d.construct.mesh, m.cell);
    if (!m.law || std::abs(x.z() + 120) > 15) // the section there is centred on the axis within 0.5 mm (mesh/bone_shape.cc)
      continue;
    if (std::abs(x.x()) < 1 && ++sides)
    {
      EXPECT_NEAR(along(m, Vector3::UnitY()), 12800, 560);
      EXPECT_NEAR(along(m, Vector3::UnitX()), 15600, 560);
    }
    if (std::abs(x.y()) < 1 && ++ends)
    {
      EXPECT_NEAR(along(m, Vector3::UnitX()), 12800, 560);
      EXPECT_NEAR(along(m, Vector3::UnitY()), 15600, 560);
    }
  }
  EXPECT_GT(sides, 3);
  EXPECT_GT(ends, 3);
}

// Requirement: depth is that under the plateau of the unoperated bone: the proximal segment carries its moduli along.
TEST(BoneLaw, DepthTurnsWithTheSegment)
{
  const Demo   &d = demo();
  const Vector3 normal = d.levelling.turned(plateau_normal(d.anatomy)), origin = d.levelling.moved(Vector3::Zero());
  int           checked = 0;
  for (const CellMaterial &m : bone_laws(d.construct.mesh, d.anatomy, d.levelling, other_laws()))
    if (d.construct.mesh.parts[d.construct.mesh.part[m.cell]] == "cancellous_proximal" && ++checked)
    {
      const double depth = -normal.dot(centre(d.construct.mesh, m.cell) - origin);
      EXPECT_NEAR(m.material.modulus_mpa, modulus_at_depth(*d.materials.cancellous.levels, {{2, 12}}, depth), 1e-9);
    }
  EXPECT_GT(checked, 100);
}

TEST(BoneLaw, NamesAMaterialWithoutTheNumbers)
{
  ConstructMaterials m   = demo().materials;
  m.orthotropic_cortex   = true;
  m.cortex.orthotropic.reset();
  EXPECT_THROW(bone_laws(demo().construct.mesh, demo().anatomy, demo().levelling, m), Error);
  m                      = demo().materials;
  m.cancellous_levels_mm = std::array<double, 2>{{2, 12}};
  m.cancellous.levels.reset();
  EXPECT_THROW(bone_laws(demo().construct.mesh, demo().anatomy, demo().levelling, m), Error);
}

// Requirement: the thread layer takes the modulus of the bone behind the face: of the cell, and of an orthotropic one square to the face,
// so between the smallest and the largest of 12.8 to 20.1 GPa in cortex and of 417 to 692 MPa in cancellous bone.
TEST(BoneLaw, ThreadsTakeTheModulusBehindTheirFace)
{
  const Demo      &d = demo();
  const auto       own = bone_laws(d.construct.mesh, d.anatomy, d.levelling, other_laws());
  std::vector<IsotropicMaterial> parts(d.construct.mesh.parts.size(), {193000, 0.29});
  const Elasticity plain(d.construct.mesh, parts), e(d.construct.mesh, parts, own);
  for (const double m : thread_moduli(plain))
    EXPECT_EQ(m, 193000);
  const auto moduli = thread_moduli(e);
  double     lowest = 1e9, highest = 0;
  for (std::size_t f = 0; f < moduli.size(); ++f)
  {
    const bool cortex = d.construct.mesh.parts[d.construct.mesh.threads[f].part_b].rfind("cortex", 0) == 0;
    EXPECT_GE(moduli[f], cortex ? 12000 : 417);
    EXPECT_LE(moduli[f], cortex ? 20100 + 1e-6 : 692);
    lowest  = std::min(lowest, moduli[f]);
    highest = std::max(highest, moduli[f]);
  }
  EXPECT_LT(lowest, 450);    // screws lie below the third level too
  EXPECT_GT(highest, 19000); // and some face points along the shaft
}

// Requirement: the construct with these laws balances: the section forces of the screws and the cut's share carry the load, the reaction equals
// it, and forces summed cell by cell equal the loads, springs and cut at every node.
TEST(BoneLaw, ConstructWithTheseLawsBalances)
{
  ConstructModel model(demo().construct, demo().anatomy, demo().levelling, other_laws());
  const auto     state = model.solve(demo().loads, CutLaw());
  ASSERT_TRUE(state.converged);
  EXPECT_LT((state.reaction_force_n - Vector3(-20, -5, 230)).norm(), 1e-9); // minus the sum of the three loads
  Vector internal = Vector::Zero(model.displacement().size());
  model.elasticity().add_internal_force(model.displacement(), internal);
  EXPECT_LT((internal - model.nodal_force()).norm(), 1e-8 * model.nodal_force().norm());
  for (const PartPeak &peak : state.peaks)
    EXPECT_LT(peak.error_estimate_percent, 200) << peak.part;
}

// Requirement: the field says what the cells are: along the shaft for cortex, the local modulus for cancellous bone.
TEST(BoneLaw, FieldCarriesTheModulusOfEachCell)
{
  ConstructModel model(demo().construct, demo().anatomy, demo().levelling, other_laws());
  model.solve(demo().loads, CutLaw());
  const FieldData field = model.field();
  double          low = 1e9, high = 0;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
  {
    const std::string &part = field.part_names[field.part[c]];
    if (part.rfind("cortex", 0) == 0)
    {
      ASSERT_EQ(field.modulus_mpa[c], 20100);
      ASSERT_EQ(field.poisson_ratio[c], 0.454);
    }
    if (part.rfind("cancellous", 0) == 0)
    {
      low  = std::min(low, field.modulus_mpa[c]);
      high = std::max(high, field.modulus_mpa[c]);
    }
  }
  EXPECT_EQ(low, 417);
  EXPECT_GT(high, 680);
  EXPECT_LE(high, 692);
}

// Requirement: a push that stays elastic gives the elastic answer of the same laws (two programs paths, one law): plateau drift within 1e-6.
TEST(BoneLaw, PushBelowYieldIsTheElasticConstruct)
{
  const Demo &d = demo();
  CutLaw      law;
  law.bonded = true;
  ConstructModel model(d.construct, d.anatomy, d.levelling, other_laws());
  const auto     state = model.solve(d.loads, law);
  CollapseCase   setup{d.construct, d.anatomy.hock_centre, other_laws(), law};
  setup.bone_laws = bone_laws(d.construct.mesh, d.anatomy, d.levelling, setup.materials);
  PlasticOptions options;
  options.factors = {0.05};
  const CollapseResult pushed = push_to_collapse(setup, d.loads, options);
  ASSERT_FALSE(pushed.steps.empty());
  EXPECT_EQ(pushed.steps[0].plastic_volume_mm3, 0);
  EXPECT_NEAR(pushed.steps[0].plateau_drift_deg / 0.05, state.cut.plateau_drift_deg, 1e-6 * std::abs(state.cut.plateau_drift_deg));
}

TEST(BoneLaw, FlowingBoneCannotBeOrthotropic)
{
  const Demo  &d = demo();
  CollapseCase setup{d.construct, d.anatomy.hock_centre, other_laws(), CutLaw()};
  setup.bone_laws  = bone_laws(d.construct.mesh, d.anatomy, d.levelling, setup.materials);
  setup.bone_flows = true;
  EXPECT_THROW(push_to_collapse(setup, d.loads, PlasticOptions()), Error);
}
