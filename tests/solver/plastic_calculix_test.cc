#include "mesh/block.h"
#include "solver/plastic_solve.h"
#include "tests/support/program.h"
#include <cstdlib>
#include <fmt/format.h>
#include <fstream>
#include <gtest/gtest.h>
#include <sstream>

using namespace stifle;
using namespace stifle::solver;

namespace
{
// Cantilever 24 x 4 x 4 mm: clamped at x = 0, the end x = 24 moved by 1 mm in z, three times the deflection of first yield
// (s L^2 / (1.5 E h) = 690 * 576 / (1.5 * 193000 * 4) = 0.343 mm).
struct Beam
{
  mesh::TetMesh mesh;
  PlasticMaterial steel{193000, 0.3, 690, 170 / 0.115544, 860}; // 316L cold worked, sheet section 6, by the rule of metal()
  std::vector<std::size_t> root, tip;
  Beam()
  {
    mesh::BlockOptions options;
    options.cells = {12, 3, 3};
    options.map = [](const Vector3 &x) { return Vector3(24 * x.x(), 4 * x.y(), 4 * x.z()); };
    mesh = mesh::block_mesh(options);
  }
};

std::string deck(const Elasticity &e, const Beam &beam)
{
  std::string text = "*NODE, NSET=NALL\n";
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    text += fmt::format("{},{:.11e},{:.11e},{:.11e}\n", i + 1, e.nodes()[i].x(), e.nodes()[i].y(), e.nodes()[i].z());
  text += "*ELEMENT, TYPE=C3D10, ELSET=EALL\n";
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    text += std::to_string(c + 1);
    for (const unsigned node : e.cells()[c])
      text += "," + std::to_string(node + 1);
    text += "\n";
  }
  for (const auto &[name, nodes] : {std::pair("ROOT", beam.root), std::pair("TIP", beam.tip)})
  {
    text += fmt::format("*NSET, NSET={}\n", name);
    for (const std::size_t i : nodes)
      text += fmt::format("{},\n", i + 1);
  }
  return text + "*MATERIAL, NAME=STEEL\n*ELASTIC\n193000.,0.3\n*PLASTIC\n690.,0.\n860.,0.115544\n"
                "*SOLID SECTION, ELSET=EALL, MATERIAL=STEEL\n*BOUNDARY\nROOT,1,3,0.\n*STEP, INC=1000\n*STATIC\n0.1,1.\n"
                "*BOUNDARY\nTIP,3,3,1.\n*NODE PRINT, NSET=TIP, TOTALS=ONLY, FREQUENCY=1000\nRF\n"
                "*EL PRINT, ELSET=EALL, FREQUENCY=1000\nS\n*END STEP\n";
}

struct Theirs
{
  double tip_force = 0;
  std::vector<Voigt> mean_stress;
};

Theirs read(const std::string &path, std::size_t n_cells)
{
  Theirs t;
  t.mean_stress.assign(n_cells, Voigt::Zero());
  std::ifstream file(path);
  std::string line;
  bool forces = false, stresses = false;
  while (std::getline(file, line))
  {
    if (line.find("force") != std::string::npos || line.find("stresses") != std::string::npos)
    {
      stresses = line.find("stresses") != std::string::npos;
      forces = !stresses;
      if (stresses) // the last increment printed counts
        t.mean_stress.assign(n_cells, Voigt::Zero());
      continue;
    }
    std::istringstream words(line);
    double v[6];
    std::size_t id, point;
    if (forces && words >> v[0] >> v[1] >> v[2])
      t.tip_force = v[2];
    else if (stresses && words >> id >> point >> v[0] >> v[1] >> v[2] >> v[3] >> v[4] >> v[5] && id >= 1 && id <= n_cells)
      t.mean_stress[id - 1] += (Voigt() << v[0], v[1], v[2], v[3], v[5], v[4]).finished() / 4; // theirs: xx yy zz xy xz yz
  }
  return t;
}

double von_mises_of(const Voigt &s) { return von_mises({{s(0), s(1), s(2), s(3), s(4), s(5)}}); }
} // namespace

// Requirement (issue 6): CalculiX, an independent program, finds the same elastoplastic beam within 3 %: total reaction at the
// moved end, and the largest von Mises stress (means of elements).
TEST(CalculiX, AgreesOnAnElastoplasticBeam)
{
  Beam beam;
  const Elasticity e(beam.mesh, {{beam.steel.modulus_mpa, beam.steel.poisson_ratio}});
  PlasticProblem problem{e, {beam.steel}, {}, {}, {}, nullptr, {}};
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
  {
    if (e.nodes()[i].x() < 1e-9)
      beam.root.push_back(i);
    if (e.nodes()[i].x() > 24 - 1e-9)
      beam.tip.push_back(i);
  }
  for (const std::size_t i : beam.root)
    for (int c = 0; c < 3; ++c)
      problem.fixed.push_back({i, c, 0});
  for (const std::size_t i : beam.tip)
    problem.fixed.push_back({i, 2, 1});
  PlasticOptions options;
  options.factors = {0.25, 0.5, 0.75, 1};
  const PlasticResult ours = solve_plastic(problem, options);
  ASSERT_FALSE(ours.collapsed);
  const std::string folder = fresh_folder("calculix_plastic");
  std::ofstream(folder + "/job.inp") << deck(e, beam);
  ASSERT_EQ(std::system(("cd " + folder + " && OMP_NUM_THREADS=1 ccx job > job.log 2>&1").c_str()), 0);
  const Theirs theirs = read(folder + "/job.dat", e.cells().size());
  double force = 0, peak = 0, their_peak = 0;
  for (const std::size_t i : beam.tip)
    force += ours.reaction(3 * i + 2);
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    peak = std::max(peak, von_mises_of(ours.mean_stress_mpa[c]));
    their_peak = std::max(their_peak, von_mises_of(theirs.mean_stress[c]));
  }
  EXPECT_GT(force, 0.7 * 690 * 64 / 6 / 24); // past first yield: section modulus 64/6, lever 24
  EXPECT_GT(ours.plastic_volume_mm3, 10);
  EXPECT_NEAR(force, theirs.tip_force, 0.03 * force);
  EXPECT_NEAR(peak, their_peak, 0.03 * peak);
  std::printf("  elastoplastic beam: force %.3f N, CalculiX %.3f; peak %.2f MPa, CalculiX %.2f\n", force, theirs.tip_force, peak,
              their_peak);
}
