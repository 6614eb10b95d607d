// models/joint/condyle_bed.h - one condyle (torus) pressed into one plateau (paraboloid) covered by a bed of springs, in space
//   frame   tibia; the plateau stands in its chord frame: columns of `axes` are chord (cranial), y (medial), normal (proximal)
//   law     pressure = stiffness * depth; energy form of models/joint/bed_wrench.h: force along the femoral normal, no friction
//   method  polar quadrature about the deepest point, stretched to the patch and cut at its rim: points follow the contact, so
//           resultants are smooth and their derivative is exact up to the quadrature error. Worked out in the frame of the condyle,
//           several rays of the rule at once (models/joint/lanes.h)
#pragma once
#include "models/joint/bed_wrench.h"
#include "models/joint/lanes.h"
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

  /// Rays of the polar rule; weight 0 where nothing is left to fill the last lanes.
  struct Rays
  {
    SpringLanes cosine, sine, weight;
  };

private:
  struct View;
  struct Deepest;
  View seen_from(const RigidPose &femur) const;
  Deepest deepest(const View &view) const;
  void set_reach(Deepest &deepest, double level_mm) const;
  Deepest away_from_edges(const View &view, const Deepest &deepest, double level_mm) const;
  double way_to_edge(const Deepest &middle, double along_s, double along_y) const;
  SpringLanes rim(const View &view, const Deepest &middle, double level_mm, const SpringLanes &along_s, const SpringLanes &along_y) const;
  template <class Visit> void over_patch(const View &view, Deepest deepest, double level_mm, const Visit &visit) const;

  Condyle condyle_;
  PlateauSide plateau_;
  PlateauFrame frame_;
  double stiffness_;
  BedRule rule_;
  std::vector<Rays> even_rays_; ///< of a patch that lies inside
};
} // namespace stifle
