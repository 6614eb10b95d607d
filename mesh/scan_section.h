// mesh/scan_section.h - sections of a surface of triangles by planes across the bone, as smooth closed curves
//   frame   unoperated tibia, mm; a plane is z = height + slope x, so a curve in it is given by (x, y)
//   errors  Error naming the height: the surface is open there, the plane y = 0 misses the curve
#pragma once
#include "mesh/bone_shape.h"
#include "models/parts/surface.h"

namespace stifle::mesh
{
struct SectionPlane
{
  double height, slope;
  double z(double x) const { return height + slope * x; }
};
using PlaneCurve = std::vector<Eigen::Vector2d>; ///< closed, last point joined to the first

/// Closed curves of the surface in the plane, the largest area first.
std::vector<PlaneCurve> slice(const TriangleSurface &surface, const SectionPlane &plane);
double area_mm2(const PlaneCurve &curve);
/// Least distance of a point to the curve in the plane itself (not in its projection); below 0 outside.
double depth_mm(const PlaneCurve &curve, const SectionPlane &plane, const Eigen::Vector2d &point);
/// The largest curve that lies `distance_mm` inside; empty when there is no room.
PlaneCurve moved_in(const PlaneCurve &curve, const SectionPlane &plane, double distance_mm);
/// Two smooth halves, split at y = 0: least squares on 240 points each.
SectionCurve fit_section(const PlaneCurve &curve, const SectionPlane &plane);
} // namespace stifle::mesh
