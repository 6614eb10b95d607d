// mesh/tet_mesh.h - straight tetrahedra with named parts and named interfaces; plain arrays
//   units   mm; frame of the unoperated tibia. Vertices only (4 per tetrahedron): the solver adds mid-edge nodes (P2).
//   Nodes are shared inside a component and doubled between components. Components: 0 = proximal bone,
//   1 = distal bone (or the whole bone when there is no cut), 2 = plate with its locking screws,
//   3 = plain screws.
#pragma once
#include "models/core/units.h"
#include <array>
#include <string>
#include <vector>

namespace stifle::mesh
{
using Tetrahedron = std::array<unsigned, 4>; ///< positive volume: det(b-a, c-a, d-a) > 0
using Triangle = std::array<unsigned, 3>;

/// Two coincident triangles of different components; corner i of `a` lies at corner i of `b`.
struct FacePair
{
  Triangle a, b;
  unsigned part_a = 0, part_b = 0; ///< indices into TetMesh::parts
};

/// A named set of boundary triangles (outward orientation).
struct Surface
{
  std::string name;
  std::vector<Triangle> triangles;
};

struct TetMesh
{
  std::vector<Vector3> points;
  std::vector<Tetrahedron> tetrahedra;
  std::vector<unsigned> part;      ///< per tetrahedron, index into `parts`
  std::vector<std::string> parts;  ///< cortex_proximal, cancellous_proximal, cortex_distal, cancellous_distal, plate, screw_N
  std::vector<unsigned> component; ///< per part
  std::vector<FacePair> cut;       ///< a = proximal, b = distal
  std::vector<FacePair> threads;   ///< a = screw, b = bone
  std::vector<FacePair> plate_contact; ///< a = bone, b = plate that presses on it; no node of them lies on the cut
  std::vector<FacePair> seats;     ///< a = plate, b = plain screw: countersink and head
  std::vector<Surface> surfaces;   ///< outer_proximal, outer_distal (bone skin), talar (support patch), plateau
  /// Lines at which a peak does not converge (re-entrant or tied): polylines as point pairs, with the parts they touch.
  struct ExcludedLine
  {
    Vector3 from, to;
  };
  std::vector<ExcludedLine> excluded;

  const Surface *find_surface(const std::string &name) const;
  int find_part(const std::string &name) const; ///< -1 when absent
};

/// Faces of exactly one tetrahedron, outward, with that tetrahedron; in the order of the tetrahedra.
struct BoundaryFace
{
  Triangle triangle;
  std::size_t tetrahedron;
};
std::vector<BoundaryFace> boundary_faces(const TetMesh &mesh);

/// Mean-ratio shape quality: 1 for a regular tetrahedron, 0 for a flat one.
double quality(const TetMesh &mesh, std::size_t tetrahedron);
double volume(const TetMesh &mesh, std::size_t tetrahedron);
double part_volume(const TetMesh &mesh, unsigned part);
} // namespace stifle::mesh
