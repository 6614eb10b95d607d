// solver/results.h - what a construct run leaves behind; plain values that viz and the app read
#pragma once
#include "models/core/units.h"
#include <algorithm>
#include <array>
#include <string>
#include <vector>

namespace stifle
{
/// One field file: quadratic tetrahedra, points doubled at part borders and at the cut.
struct FieldData
{
  std::vector<Vector3>                 points_mm;
  std::vector<std::array<unsigned, 10>> cells;           ///< VTK order of the quadratic tetrahedron (type 24)
  std::vector<int>                     part, node;       ///< per cell; per point (mesh node)
  std::vector<std::string>             part_names;
  std::vector<double>                  modulus_mpa, poisson_ratio; ///< per cell
  std::vector<Vector3>                 displacement_mm, force_n;   ///< per point; force on the first copy of a node only
  std::vector<std::array<double, 6>>   stress_mpa;       ///< per point: xx yy zz xy yz xz (VTK order), per part
  std::vector<double>                  von_mises_mpa;    ///< per point, from the written stress
};

struct PartPeak ///< a row of construct.csv
{
  std::string part;
  double      von_mises_mpa = 0;
  Vector3     place_mm = Vector3::Zero();
  double      error_estimate_percent = 0; ///< local recovery-based estimate at the peak
  bool        excluded = false;           ///< true: the peak lies within the stated distance of a re-entrant or tied line
  double      principal_strain = 0;       ///< largest magnitude in the part, outside excluded lines
  double      volume_above_yield_mm3 = 0;
  double      tension_strain = 0, compression_strain = 0; ///< largest principal strains of either sign, as sizes, outside excluded lines
  double      principal_mpa = 0; ///< largest principal stress (tension) in the part, outside excluded lines; 0: none in tension
  Vector3     principal_place_mm = Vector3::Zero();
};

struct CutResult ///< a row of cut.csv
{
  double contact_percent = 0, gap_opening_max_mm = 0, slip_max_mm = 0, plateau_drift_deg = 0;
  double load_through_bone_percent = 0;
  bool   load_percent_valid = false;
  double plate_contact_percent = 0, plate_contact_n = 0; ///< plate on bone: part of its shaped faces that press, sum of the pressure
  double cut_turn_deg = 0; ///< the part of the drift that the cut itself makes: best-fit turn of one face against the other
};

enum class CutTouch
{
  open,  ///< no point of the face touches
  stuck, ///< every point that touches sticks
  slip   ///< a point that touches slides
};

struct CutMapFace ///< one face of the cut in one state
{
  std::array<Vector3, 3> corners_mm; ///< unloaded place
  double   area_mm2 = 0, touching = 0; ///< touching: share of the area, 0 to 1
  double   pressure_mpa = 0;           ///< of the contact, mean over the face, >= 0
  double   callus_mpa = 0;             ///< normal stress in the callus, mean; compression > 0
  double   opening_mm = 0;             ///< movement of the sides away from one another since unloaded, at the middle; < 0: closer
  double   slip_mm = 0;                ///< largest slide of a point that touches
  CutTouch touch = CutTouch::open;
};

struct ScrewResult ///< a row of screws.csv; at the bone entry
{
  std::string screw;
  double      axial_n = 0, shear_n = 0, bending_nmm = 0; ///< axial > 0 pulls the screw out
  double      head_n = 0; ///< of a plain head on its seat, into the bone; 0 for a locking screw, which has no such part
};

struct ScrewShaft ///< hot spot of a screw by the rule of solver/screw_shaft.h
{
  std::string screw;
  double      von_mises_mpa = 0, principal_mpa = 0; ///< largest on the sections read; principal: tension
  double      nominal_mpa = 0;                      ///< of a beam with the core's section, where von Mises is largest
  double      outside_mm = 0;                       ///< of the bone's entry along the axis; < 0 inside the bone
  Vector3     place_mm = Vector3::Zero();
};

struct ConstructState
{
  std::vector<PartPeak>    peaks;
  CutResult                cut;
  std::vector<ScrewResult> screws;
  std::vector<ScrewShaft>  shafts;
  Vector3 reaction_force_n = Vector3::Zero();   ///< of the support on the tibia at the talar patch
  Vector3 reaction_moment_nmm = Vector3::Zero();///< about the hock centre
  int     contact_iterations = 0;
  double  contact_residual = 0;
  bool    converged = false;

  /// Of a part, away from excluded lines; null when the part has none.
  const PartPeak *kept_peak(const std::string &part) const
  {
    const auto found = std::find_if(peaks.begin(), peaks.end(), [&](const PartPeak &p) { return p.part == part && !p.excluded; });
    return found == peaks.end() ? nullptr : &*found;
  }
  /// Null when the screw has none.
  const ScrewShaft *shaft(const std::string &screw) const
  {
    const auto found = std::find_if(shafts.begin(), shafts.end(), [&](const ScrewShaft &s) { return s.screw == screw; });
    return found == shafts.end() ? nullptr : &*found;
  }
};
} // namespace stifle
