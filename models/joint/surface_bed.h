// models/joint/surface_bed.h - bed of springs of one compartment between two surfaces of triangles
//   tibia   points with an area on the triangles, fixed in the tibia frame; large triangles are divided
//   femur   signed distance on a grid, femur frame (models/joint/distance_grid.h)
//   law     E = sum A K max(h, 0)^2 / 2, h = -distance at a point. Force and slope are its exact first and second derivatives;
//           the force is continuous, the slope jumps where a point begins to touch (by A K). models/joint/bed_wrench.h
//   limits  the depth is that of the interpolated distance: rounds edges sharper than a cell
//   errors  Error: no tibial point in the box, stiffness or size not above 0, a pose that is not finite; or those of the grid
#pragma once
#include "models/joint/bed_wrench.h"
#include "models/joint/distance_grid.h"
#include "models/parts/anatomy.h"
#include <memory>

namespace stifle
{
/// Part of the tibial surface that carries: centre of a piece within the box, outward normal within 84 degrees of `up`.
struct CompartmentMask
{
  Vector3 low = Vector3::Zero(), high = Vector3::Zero(); ///< tibia frame, mm
  Vector3 up = Vector3::UnitZ();
};
/// The two compartments: y > 0 and y < 0, to the outer end of the contact strip and half a width more; craniocaudally the plateau
/// and 30 % more, proximodistally as much. The margins are assumptions; the surface itself ends the contact.
CompartmentMask medial_mask(const Anatomy &anatomy);
CompartmentMask lateral_mask(const Anatomy &anatomy);
/// Cells of 0.5 mm about the condyles: three radii of the condyle circle to every side (assumption).
GridOptions femur_grid_options(const Anatomy &anatomy);

class SurfaceBed
{
public:
  struct Options
  {
    double stiffness_mpa_per_mm = 4;
    double point_size_mm = 0.5; ///< longest side of a piece of tibial surface
    CompartmentMask mask;
  };
  SurfaceBed(const TriangleSurface &tibia, std::shared_ptr<const DistanceGrid> femur, const Options &options);

  BedWrench wrench(const RigidPose &pose) const;
  /// The same after the tibial surface went along with a cut piece of the tibia: a point p of it now lies at
  /// segment.turn * p + segment.shift_mm. Wrench and centre in the tibia frame, `pose` as ever from femur to tibia frame.
  BedWrench wrench(const RigidPose &pose, const RigidPose &segment) const;
  double energy_nmm(const RigidPose &pose) const;
  /// Largest depth, mm; 0 when apart. A caller refuses surfaces that start deeper than its cartilage.
  double interpenetration_mm(const RigidPose &pose) const;
  std::size_t n_points() const { return points_.size(); }
  double area_mm2() const; ///< of the whole compartment

private:
  struct Point
  {
    Vector3 place;
    double area;
  };
  struct Cluster
  {
    Vector3 centre;
    double radius;
    std::size_t first, last;
  };
  void add_pieces(const TriangleSurface &tibia, int triangle);
  void cluster(std::size_t first, std::size_t last);
  /// Calls visit(point, place in the femur frame, its spot in the grid) where the two may touch.
  template <class Visit> void near_points(const RigidPose &pose, const Visit &visit) const;

  std::shared_ptr<const DistanceGrid> femur_;
  Options options_;
  std::vector<Point> points_;
  std::vector<Cluster> clusters_;
};
} // namespace stifle
