// mesh/mesh_size.h - wanted edge length at a place: bone everywhere, twice the detail along screws, detail at rims
#pragma once
#include "mesh/implant_fit.h"
#include "mesh/size_point.h"

namespace stifle::mesh
{
class MeshSize
{
public:
  MeshSize(const Scenario &scenario, const ImplantFit &fit, std::vector<SizePoint> steps);
  double operator()(const Vector3 &place) const;
  double in_plate() const; ///< largest edge in the plate

private:
  double detail_of(const ScrewFit &screw) const;
  double top(const ScrewFit &screw) const; ///< y of the outer face of the plate
  double bone_, detail_;
  ImplantFit fit_;
  std::vector<SizePoint> steps_;
};
} // namespace stifle::mesh
