// mesh/skin.h - where a line along y meets the skin of the bone, from a dense sample of the lofted faces
//   frame   unoperated tibia; `levelled_*` take the place after the proximal segment has turned
//   limits  two faces, medial (y > 0) and lateral, each a single height over (x, z); sampled finer than 0.5 mm, so the
//           chord error is below 0.01 mm at the curvatures of the bone
#pragma once
#include "models/parts/levelling.h"
#include <array>
#include <cstdint>
#include <optional>
#include <vector>

namespace stifle::mesh
{
class Skin
{
public:
  /// Triangles of the skin, corner by corner, medial and lateral.
  Skin(std::vector<std::array<Vector3, 3>> triangles);
  /// y of the skin on one side (+1 medial, -1 lateral) over (x, z); empty beside the bone.
  std::optional<double> height(double x, double z, int side) const;
  /// The same on the levelled bone; `anatomy` gives the plateau plane above which there is no bone.
  std::optional<double> levelled_height(double x, double z, int side, const Anatomy &anatomy, const Levelling &levelling) const;

  const std::vector<std::array<Vector3, 3>> &triangles() const { return triangles_; }

private:
  std::vector<std::array<Vector3, 3>> triangles_;
  double low_x_ = 0, low_z_ = 0;
  std::size_t n_x_ = 0, n_z_ = 0;
  std::vector<std::vector<std::uint32_t>> bins_;
};

/// Samples the lateral faces of a lofted volume in the open Gmsh session.
Skin sample_skin(int lofted_volume);
} // namespace stifle::mesh
