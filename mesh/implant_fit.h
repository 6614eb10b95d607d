// mesh/implant_fit.h - where plate and screws go on the levelled bone; refuses what cannot be, by name with numbers
//   frame   unoperated tibia, mm; screws run along -y (medial to lateral), the plate lies on the medial face; the screws of a
//           user's plate follow its holes, up to 20 degrees off that direction
//   plate   outline in (x, z): a shaft and a wider head with cut corners, or a list of widths; turned by the inclination;
//           thickness along the normal of the inner curve y = inner(z), the same for all x: the highest bone under the
//           width of the plate plus the stand-off; a user's plate is moved along y until it stands off as far, unless
//           plate.seating says landmarks
//   errors  Error: plate misses the bone; a screw passes the joint surface, the cut, another screw or beside the bone, ends
//           short of the bone or of its far cortex, or stands out of it; a hole leaves the plate
#pragma once
#include "mesh/hole_plan.h"
#include "mesh/skin.h"

namespace stifle::mesh
{
struct UserPlate;

struct ScrewFit
{
  std::string name;
  double x, z;             ///< of the axis at plate_y
  double plate_y, entry_y; ///< inner face of the plate, skin on the medial side
  double exit_y, tip_y;    ///< skin on the lateral side, end of the screw
  bool proximal;
  HoleKind kind;
  double core_mm, major_mm;
  bool both_cortices;
  std::optional<double> length_mm; ///< asked for; see HolePlan
  double preload_n = 0, compression_n = 0;
  Vector3 axis = Vector3::UnitY();    ///< from the tip to the head
  double bore_mm = 0, bore_top_y = 0; ///< of a user's plate: its hole, and where the head in it ends; 0: the plate is ours
  Vector3 at(double y) const;         ///< point of the axis
  double off_axis(const Vector3 &p) const; ///< distance from the axis, in the plane of equal y
  double hole_mm() const;          ///< diameter of the hole in the plate
  double head_mm() const;          ///< diameter of the head of a plain screw
  double outer_mm() const;         ///< widest diameter in plate or bone: thread, or head of a plain screw
};

struct PlateFit
{
  struct Station
  {
    double z, inner_y, outer_z, outer_y; ///< a point of the inner curve and the one a thickness farther along its normal
    double curvature;                    ///< second derivative of the inner curve; see `settle`
  };
  std::vector<Station> stations;               ///< from distal to proximal, beyond the outline at both ends
  std::vector<std::array<double, 2>> outline;  ///< polygon in (x, z)
  double least_gap_mm = 0, largest_gap_mm = 0; ///< along y under the outline where there is bone
  void settle();                               ///< second derivatives after a change of inner_y
  double inner(double z) const;                ///< the curve, natural cubic spline through the (evenly spaced) stations
  double slope(double z) const;
};

struct ImplantFit
{
  PlateFit plate;
  std::vector<ScrewFit> screws;
  std::vector<ScrewFit> open_holes; ///< without a screw: place, plate_y and hole_mm() only
  double thickness_mm = 0;          ///< of the plate
  double seat_mm = 0;               ///< a user's plate is moved by this along y after its landmarks
};

/// `user`: the placed plate of plate.file, null for the parametric one.
ImplantFit fit_implants(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const Skin &skin,
                        const UserPlate *user = nullptr);
} // namespace stifle::mesh
