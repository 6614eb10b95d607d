// mesh/screw_rules.h - where a screw enters, leaves and ends in the levelled bone, and what refuses it
//   frame   unoperated tibia, mm;  errors  Error naming the screw and the numbers: see mesh/implant_fit.h
#pragma once
#include "mesh/implant_fit.h"

namespace stifle::mesh
{
/// The levelled bone.
struct BoneSite
{
  const Anatomy &anatomy;
  const Levelling &levelling;
  const Skin &skin;
  /// y of the skin over (x, z), medial (+1) or lateral (-1); empty beside the bone.
  std::optional<double> height(double x, double z, int side) const { return skin.levelled_height(x, z, side, anatomy, levelling); }
};

/// y at which the axis, moved by `off` in (x, z), meets the skin of one side; empty beside the bone.
std::optional<double> axis_meets_skin(const BoneSite &site, const ScrewFit &screw, int side, const std::array<double, 2> &off = {});
/// Least distance of the axes between entry and tip.
double axis_distance_mm(const ScrewFit &a, const ScrewFit &b);

/// Sets entry, exit and tip; `outer_face_y` where the axis leaves the plate.
void place_screw(const BoneSite &site, ScrewFit &screw, double outer_face_y);
/// Joint and cut at a point of the axis, in the plane across y.
void check_plan(const BoneSite &site, const ScrewFit &screw, const Vector3 &point);
/// In the plate.
void check_neighbours(const ScrewFit &hole, const std::vector<ScrewFit> &holes);
/// Screws in any direction, placed: joint and cut all along, and one another in the bone.
void check_tilted(const BoneSite &site, const std::vector<ScrewFit> &screws);
} // namespace stifle::mesh
