// make_meshes FOLDER bone_size_mm detail_size_mm [...] - meshes of the demo construct (defaults, levelled to 6 degrees) in files
//   Prints CSV: file, bone_size_mm, detail_size_mm, tetrahedra, unknowns (P2, all components), worst_quality, seconds
#include "mesh/mesh_file.h"
#include "models/core/error.h"
#include <chrono>
#include <cstdlib>
#include <fmt/format.h>
#include <set>

using namespace stifle;

static std::size_t unknowns(const mesh::TetMesh &m)
{
  std::set<std::pair<unsigned, unsigned>> edges;
  for (const mesh::Tetrahedron &t : m.tetrahedra)
    for (int i = 0; i < 4; ++i)
      for (int j = i + 1; j < 4; ++j)
        edges.emplace(std::minmax(t[i], t[j]));
  return 3 * (m.points.size() + edges.size());
}

int main(int argc, char **argv)
try
{
  for (int i = 2; i + 1 < argc; i += 2)
  {
    Scenario s;
    s.mesh.bone_size_mm     = std::atof(argv[i]);
    s.mesh.detail_size_mm   = std::atof(argv[i + 1]);
    const Anatomy anatomy   = make_anatomy(s);
    const auto    start     = std::chrono::steady_clock::now();
    const auto    construct = mesh::mesh_construct(s, anatomy, plan_levelling(s, anatomy, radians(6)));
    const double  seconds   = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    const std::string path  = fmt::format("{}/demo_{}_{}.mesh", argv[1], argv[i], argv[i + 1]);
    mesh::write_mesh(construct, path);
    fmt::print("{},{},{},{},{},{:.3f},{:.1f}\n", path, argv[i], argv[i + 1], construct.mesh.tetrahedra.size(),
               unknowns(construct.mesh), construct.worst_quality, seconds);
    std::fflush(stdout);
  }
}
catch (const Error &error)
{
  fmt::print(stderr, "{}\n", error.what());
  return 1;
}
