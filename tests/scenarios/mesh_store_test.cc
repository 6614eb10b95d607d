// Requirements of kept meshes: made anew when, and only when, something they are made from has changed.
#include "mesh/mesh_file.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/parts/repair.h"
#include "scenarios/app/mesh_store.h"
#include <filesystem>
#include <functional>
#include <gtest/gtest.h>
#include <unistd.h>

using namespace stifle;
using namespace stifle::app;
namespace fs = std::filesystem;

namespace
{
Scenario coarse()
{
  Scenario s;
  s.mesh.bone_size_mm   = 5;
  s.mesh.detail_size_mm = 1.2;
  return s;
}

std::string hash_of(const Scenario &s, double target_deg = 6)
{
  const Anatomy anatomy = make_anatomy(s);
  return mesh_hash(s, anatomy, plan_levelling(s, anatomy, radians(target_deg)));
}

std::string hash_with(const std::function<void(Scenario &)> &change)
{
  Scenario s = coarse();
  change(s);
  return hash_of(s);
}

class MeshStore : public ::testing::Test
{
protected:
  MeshStore() { fs::remove_all(folder); }
  ~MeshStore() override { fs::remove_all(folder); }
  StoredMesh stored() { return stored_mesh({scenario, anatomy, bare, folder}, mesher); }
  std::string file() const { return folder + "/" + mesh_hash(scenario, anatomy, bare) + ".mesh"; }

  const std::string folder   = (fs::temp_directory_path() / ("stifle_meshes_" + std::to_string(getpid()))).string();
  const Scenario    scenario = coarse();
  const Anatomy     anatomy  = make_anatomy(scenario);
  const Levelling   bare     = no_levelling(anatomy);
  std::mutex        mesher;
};

void expect_same(const mesh::ConstructMesh &a, const mesh::ConstructMesh &b)
{
  EXPECT_EQ(a.mesh.points, b.mesh.points); // every bit
  EXPECT_EQ(a.mesh.tetrahedra, b.mesh.tetrahedra);
  EXPECT_EQ(a.mesh.part, b.mesh.part);
  EXPECT_EQ(a.mesh.parts, b.mesh.parts);
  EXPECT_EQ(a.mesh.surfaces.size(), b.mesh.surfaces.size());
  EXPECT_EQ(a.plateau_angle_rad, b.plateau_angle_rad);
  EXPECT_EQ(a.warnings, b.warnings);
}
} // namespace

// Requirement: weeks, loads and materials need no new mesh.
TEST(MeshHash, StaysWithWeekLoadAndMaterial)
{
  const std::string hash = hash_of(coarse());
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.healing.weeks = {0, 4, 10}; }));
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.healing.friction = 0.2; }));
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.study.stance_percent = {50}; }));
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.plate.material = "titanium_6al_4v"; }));
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.tibia.cortex_law = "orthotropic"; }));
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.joint.ligament = {"intact"}; }));
  EXPECT_EQ(hash, hash_with([](Scenario &s) { s.output.fields = "all"; }));
}

// Requirement: a key that moves the bone, the cut, the implant or the size of an element needs a new mesh.
TEST(MeshHash, ChangesWithShape)
{
  const std::string hash = hash_of(coarse());
  EXPECT_NE(hash, hash_of(coarse(), 5));
  EXPECT_NE(hash, hash_with([](Scenario &s) { s.mesh.bone_size_mm = 4.999; }));
  EXPECT_NE(hash, hash_with([](Scenario &s) { s.plate.thickness_mm = 3.4; }));
  EXPECT_NE(hash, hash_with([](Scenario &s) { s.screws.core_mm += 0.1; }));
  EXPECT_NE(hash, hash_with([](Scenario &s) { s.tibia.length_mm = 201; }));
  EXPECT_NE(hash, hash_with([](Scenario &s) { s.tibia.plateau_angle_deg = 26; }));
  EXPECT_NE(hash, hash_with([](Scenario &s) { s.levelling.saw_radius_mm = 27; }));
}

// Requirement: the second time a mesh is read, not made, and it is the same to the last bit.
TEST_F(MeshStore, ReadsWhatItKept)
{
  const StoredMesh first = stored(), second = stored();
  EXPECT_FALSE(first.reused);
  EXPECT_TRUE(second.reused);
  expect_same(first.construct, second.construct);
}

// Requirement: a file cut short is not taken for a mesh.
TEST_F(MeshStore, MeshesAnewWhereTheFileIsCutShort)
{
  const StoredMesh first = stored();
  fs::resize_file(file(), fs::file_size(file()) / 2);
  EXPECT_THROW(mesh::read_mesh(file()), Error);
  const StoredMesh second = stored();
  EXPECT_FALSE(second.reused);
  expect_same(first.construct, second.construct);
}

// Requirement: the process that meshes for another finds the slope that was asked for, and leaves the same mesh.
TEST_F(MeshStore, AnotherProcessMakesTheSameMesh)
{
  fs::create_directories(folder);
  const std::string request = fs::path(file()).replace_extension(".yaml").string();
  write_file(request, echo_scenario(scenario));
  ASSERT_EQ(mesh_slope_command(request), 0);
  const StoredMesh kept = stored();
  EXPECT_TRUE(kept.reused);
  expect_same(kept.construct, mesh::mesh_construct(scenario, anatomy, bare));
  write_file(folder + "/0123456789abcdef.yaml", echo_scenario(scenario));
  EXPECT_NE(mesh_slope_command(folder + "/0123456789abcdef.yaml"), 0); // no such slope
}
