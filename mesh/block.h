// mesh/block.h - structured blocks of tetrahedra with known answers: beams, rings, plates, patches with a cut
//   A grid of hexahedra over the unit cube (xi, eta, zeta), each split in 6 or 24 tetrahedra so that neighbours match,
//   then carried by `map` to mm. A map that mirrors is allowed: tetrahedra are turned to positive volume.
//   surfaces  x0 x1 y0 y1 z0 z1 (the faces xi = 0, xi = 1, ...; outward), `inner` (faces laid open by `keep`),
//             and, with a cut, cut_proximal and cut_distal
//   errors    Error when counts, lines or the cut layer cannot be
#pragma once
#include "mesh/tet_mesh.h"
#include <functional>

namespace stifle::mesh
{
struct BlockOptions
{
  std::array<unsigned, 3> cells = {{1, 1, 1}};
  std::array<std::vector<double>, 3> lines;         ///< optional grading: cells + 1 rising values from 0 to 1 per axis
  unsigned split = 6;                               ///< 6 (one diagonal direction) or 24 (symmetric, adds face centres)
  std::function<Vector3(const Vector3 &)> map;      ///< reference to mm; identity when empty
  std::function<std::string(const Vector3 &)> part; ///< reference centre of a hexahedron to part name; "block" when empty
  std::function<bool(const Vector3 &)> keep;        ///< hexahedra to keep by reference centre; all when empty
  double merge_mm = 0;    ///< > 0: joins points nearer than this after the map (closes a ring, collapses an axis)
  unsigned cut_layer = 0; ///< > 0: nodes are doubled between zeta layers cut_layer - 1 and cut_layer; the upper side is
                          ///< component 0 and its parts end in _proximal, the lower is component 1 and ends in _distal
  unsigned component = 1; ///< of every part when there is no cut
};

TetMesh block_mesh(const BlockOptions &options);
} // namespace stifle::mesh
