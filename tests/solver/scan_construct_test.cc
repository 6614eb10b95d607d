// The loaded construct on a bone from a scan and with a plate from a file, against the parametric one. The scan and the file are
// our own parametric bone and plate, written and read back: the answer is the parametric construct's.
#include "mesh/bone_lofts.h"
#include "mesh/construct_cad.h"
#include "mesh/session.h"
#include "models/core/files.h"
#include "tests/solver/demo_construct.h"
#include "tests/support/shapes.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <unistd.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
std::string scratch(const std::string &name)
{
  return (std::filesystem::temp_directory_path() / ("stifle_read_back_" + std::to_string(::getpid()) + name)).string();
}

struct Answer
{
  double displacement_mm = 0, plate_mpa = 0; ///< largest displacement; peak of the plate outside excluded lines
};

Answer answer_of(const Scenario &scenario)
{
  const Demo &d = demo();
  const mesh::ConstructMesh construct = mesh::mesh_construct(scenario, d.anatomy, d.levelling);
  ConstructModel model(construct, d.anatomy, d.levelling, d.materials);
  CutLaw law;
  law.gap_mm = 1; // the plate carries
  const ConstructState state = model.solve(d.loads, law);
  EXPECT_TRUE(state.converged);
  Answer a;
  for (const Vector3 &u : model.field().displacement_mm)
    a.displacement_mm = std::max(a.displacement_mm, u.norm());
  for (const PartPeak &p : state.peaks)
    if (p.part == "plate" && !p.excluded)
      a.plate_mpa = std::max(a.plate_mpa, p.von_mises_mpa);
  return a;
}
const Answer &parametric()
{
  static const Answer a = answer_of(demo().scenario);
  return a;
}
void report(const char *what, const Answer &a)
{
  std::printf("%s: displacement %.4f (parametric %.4f) mm, plate peak %.2f (%.2f) MPa\n", what, a.displacement_mm,
              parametric().displacement_mm, a.plate_mpa, parametric().plate_mpa);
}
} // namespace

// Requirement (issue 6): a synthetic STL from our own parametric bone, remeshed, moves within 3 % of the CAD path. With the inside
// of the cortex from a second STL; the cut stands 1 mm open, so that plate, screws and bone all carry.
TEST(ReadBack, ScannedBoneMovesLikeTheParametricOne)
{
  const std::string outer = scratch("_outer.stl"), inner = scratch("_inner.stl");
  Scenario s = demo().scenario;
  write_file(outer, test::binary_stl(mesh::bone_surface(s, demo().anatomy, false, 1.2)));
  write_file(inner, test::binary_stl(mesh::bone_surface(s, demo().anatomy, true, 1.2)));
  s.tibia.surface = outer, s.tibia.inner_surface = inner;
  const Answer a = answer_of(s);
  report("scan with inner surface", a);
  EXPECT_NEAR(a.displacement_mm, parametric().displacement_mm, 0.03 * parametric().displacement_mm);
  s.tibia.inner_surface.reset();
  report("scan with tibia.cortex_mm", answer_of(s));
  std::filesystem::remove(outer), std::filesystem::remove(inner);
}

// Requirement: the parametric plate from a STEP file gives the same construct: displacement within 3 %, plate peak within 8 % (the
// recovered peak has an error estimate of 12 % on this mesh; heads end inside the holes).
TEST(ReadBack, PlateFromAFileCarriesLikeTheParametricOne)
{
  const std::string file = scratch("_plate.step");
  Scenario s = demo().scenario;
  {
    const mesh::GmshSession session;
    mesh::write_plate_step(s, demo().anatomy, demo().levelling, file);
  }
  s.plate.file = file;
  s.plate.landmarks_plate_mm = s.plate.landmarks_bone_mm = {0, 20, -10, -2, 12, -60, -10, 20, -10};
  const Answer a = answer_of(s);
  report("plate from STEP", a);
  EXPECT_NEAR(a.displacement_mm, parametric().displacement_mm, 0.03 * parametric().displacement_mm);
  EXPECT_NEAR(a.plate_mpa, parametric().plate_mpa, 0.08 * parametric().plate_mpa);
  std::filesystem::remove(file);
}
