// models/joint/condyle_bed.h - one condyle (torus) pressed into one plateau (paraboloid) covered by a bed of springs, in space
//   frame   tibia; the plateau stands in its chord frame: columns of `axes` are chord (cranial), y (medial), normal (proximal)
//   law     pressure = stiffness * depth; energy form of models/joint/bed_wrench.h: force along the femoral normal, no friction
//   method  polar quadrature about the deepest point, stretched to the patch and cut at its rim: points follow the contact, so
//           resultants are smooth and their derivative is exact up to the quadrature error
#pragma once
#include "models/joint/bed_wrench.h"
#include "models/parts/joint_parts.h"

namespace stifle
{
struct PlateauFrame
{
  Vector3 origin_mm = Vector3::Zero(); ///< intercondylar point, moved with the proximal segment
  Matrix3 axes = Matrix3::Identity();
};

/// Where a tibial point lies against the femoral surface.
struct SurfaceDistance
{
  double depth_mm = 0;                    ///< > 0 inside the femur
  Vector3 outward = Vector3::Zero();      ///< femoral normal there, tibia frame
  Matrix3 curvature = Matrix3::Zero();    ///< change of `outward` with the point
};
SurfaceDistance condyle_distance(const Condyle &condyle, const RigidPose &femur, const Vector3 &point_mm);
/// The same without the curvature, which most searches do not need.
SurfaceDistance condyle_depth(const Condyle &condyle, const RigidPose &femur, const Vector3 &point_mm);

/// Adds the force F m of one spring at a tibial point, d F / d depth = `stiffness`, to the wrench and its slope.
void add_spring(BedWrench &sum, const Vector3 &point_mm, const SurfaceDistance &at, double force_n, double stiffness);

struct BedRule
{
  int rays = 16, rings = 4; ///< fourfold finer: 32 and 8
  int rim_cells = 13;       ///< of each meniscus (meniscus_rim.h); fourfold finer: 52
};

class CondyleBed
{
public:
  CondyleBed(const Condyle &condyle, const PlateauSide &plateau, const PlateauFrame &frame, double stiffness_mpa_per_mm,
             const BedRule &rule = {});
  BedWrench wrench(const RigidPose &femur) const;
  /// Largest depth of the condyle in the plateau, mm; 0 when apart.
  double interpenetration_mm(const RigidPose &femur) const;
  const BedRule &rule() const { return rule_; }
  /// Point of the plateau at chord coordinates (s, y).
  Vector3 surface_point(double s_mm, double y_mm) const;

private:
  struct Deepest;
  Deepest deepest(const RigidPose &femur) const;
  void set_reach(Deepest &deepest, double level_mm) const;
  Deepest away_from_edges(const RigidPose &femur, const Deepest &deepest, double level_mm) const;
  template <class Visit> void over_patch(const RigidPose &femur, Deepest deepest, double level_mm, const Visit &visit) const;
  Vector3 tangent_s(double s_mm) const;
  Vector3 tangent_y(double y_mm) const;
  double rim(const RigidPose &femur, const Deepest &middle, double level_mm, double along_s, double along_y) const;

  Condyle condyle_;
  PlateauSide plateau_;
  PlateauFrame frame_;
  double stiffness_;
  BedRule rule_;
};
} // namespace stifle
