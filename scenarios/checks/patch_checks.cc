// C2: MacNeal-Harder patch test on tetrahedra (construct.md 2.1)
//   u = 1e-3 (2x + y + z) / 2, v = 1e-3 (x + 2y + z) / 2, w = 1e-3 (x + y + 2z) / 2 on the whole skin of the unit cube.
//   Strain by hand: 1e-3 on the diagonal, shear angle 1e-3. With E = 1e6, nu = 0.25: lambda = mu = 4e5, so
//   sigma = 3 lambda 1e-3 + 2 mu 1e-3 = 2000, tau = mu 1e-3 = 400, everywhere.
//   A hexahedron is split in six from its lowest vertex v: the three faces away from v are cut through their lowest vertex
//   and joined to v. Every face is then cut through its lowest vertex, so neighbours agree.
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"
#include <algorithm>

namespace stifle::checks
{
namespace
{
const std::vector<Vector3> corners = {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}, {0, 0, 1}, {1, 0, 1}, {1, 1, 1}, {0, 1, 1},
                                      {.249, .342, .192}, {.826, .288, .288}, {.850, .649, .263}, {.273, .750, .230},
                                      {.320, .186, .643}, {.677, .305, .683}, {.788, .693, .644}, {.165, .745, .702}};
constexpr std::array<std::array<unsigned, 8>, 7> hexahedra = {{{0, 1, 2, 3, 8, 9, 10, 11}, {12, 13, 14, 15, 4, 5, 6, 7},
                                                               {0, 8, 11, 3, 4, 12, 15, 7}, {9, 1, 2, 10, 13, 5, 6, 14},
                                                               {0, 1, 9, 8, 4, 5, 13, 12}, {11, 10, 2, 3, 15, 14, 6, 7},
                                                               {8, 9, 10, 11, 12, 13, 14, 15}}};
constexpr std::array<std::array<int, 4>, 6> faces = {{{0, 1, 2, 3}, {4, 5, 6, 7}, {0, 1, 5, 4}, {1, 2, 6, 5}, {2, 3, 7, 6}, {3, 0, 4, 7}}};

Body patch()
{
  Body body;
  body.mesh.points = body.parameter = corners;
  body.mesh.parts                   = {"body"};
  body.mesh.component               = {0};
  for (const auto &hex : hexahedra)
  {
    const unsigned lowest = *std::min_element(hex.begin(), hex.end());
    for (const auto &face : faces)
    {
      std::array<unsigned, 4> loop;
      for (int i = 0; i < 4; ++i)
        loop[i] = hex[face[i]];
      if (std::count(loop.begin(), loop.end(), lowest))
        continue;
      std::rotate(loop.begin(), std::min_element(loop.begin(), loop.end()), loop.end());
      body.mesh.tetrahedra.push_back({{lowest, loop[0], loop[1], loop[2]}});
      body.mesh.tetrahedra.push_back({{lowest, loop[0], loop[2], loop[3]}});
    }
  }
  body.mesh.part.assign(body.mesh.tetrahedra.size(), 0);
  orient(body.mesh);
  return body;
}

Vector3 exact(const Vector3 &x) { return 0.5e-3 * (x + Vector3::Constant(x.sum())); }
} // namespace

std::vector<CheckRow> patch_test()
{
  Problem problem(patch(), {{1e6, 0.25}});
  double  volume = 0;
  for (std::size_t i = 0; i < problem.elasticity().cells().size(); ++i)
    volume += mesh::volume(problem.elasticity().mesh(), i);
  const auto on_skin = [](const Vector3 &p) { return p.minCoeff() < 1e-9 || p.maxCoeff() > 1 - 1e-9; };
  problem.prescribe(on_skin, exact);
  problem.solve();
  double normal = 0, shear = 0, inner = 0;
  int    n_inner = 0;
  for (std::size_t cell = 0; cell < problem.elasticity().cells().size(); ++cell)
    for (int corner = 0; corner < 4; ++corner)
    {
      const auto s = problem.elasticity().stress(problem.displacement(), cell, Eigen::Vector4d::Unit(corner));
      for (int c = 0; c < 6; ++c)
        (c < 3 ? normal : shear) = std::max(c < 3 ? normal : shear, c < 3 ? std::abs(s[c] / 2000 - 1) : std::abs(s[c] / 400 - 1));
    }
  for (std::size_t i = 0; i < problem.parameter().size(); ++i)
    if (!on_skin(problem.parameter()[i]))
    {
      ++n_inner;
      inner = std::max(inner, (problem.displacement().segment<3>(3 * i) - exact(problem.elasticity().nodes()[i])).norm() / 2e-3);
    }
  const std::string source = "MacNeal & Harder 1985 (S31), construct.md 2.1; stresses by hand from Hooke's law";
  return {verified("C2", "volume of the split cube", volume, 1, 1e-12, "mm3", source),
          verified("C2", "free inner nodes (8 vertices and their edges) are present", n_inner > 8, 1, 0, "1", source),
          verified("C2", "largest deviation of normal stress from 2000, relative", normal, 0, 1e-10, "1", source),
          verified("C2", "largest deviation of shear stress from 400, relative", shear, 0, 1e-10, "1", source),
          verified("C2", "largest deviation of an inner displacement, relative to the largest", inner, 0, 1e-10, "1", source)};
}
} // namespace stifle::checks
