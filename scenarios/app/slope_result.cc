#include "scenarios/app/slope_result.h"
#include "scenarios/app/vector_json.h"
#include <algorithm>

namespace nlohmann
{
template <class T> struct adl_serializer<std::optional<T>>
{
  static void to_json(json &j, const std::optional<T> &v) { v ? j = *v : j = nullptr; }
  static void from_json(const json &j, std::optional<T> &v) { v = j.is_null() ? std::nullopt : std::optional<T>(j.get<T>()); }
};
/// Lists instead of names: a map has some thousand faces.
template <> struct adl_serializer<stifle::CutMapFace>
{
  static void to_json(json &j, const stifle::CutMapFace &f)
  {
    j = {f.corners_mm[0], f.corners_mm[1], f.corners_mm[2], f.area_mm2, f.touching, f.pressure_mpa, f.callus_mpa, f.opening_mm,
         f.slip_mm, int(f.touch)};
  }
  static void from_json(const json &j, stifle::CutMapFace &f)
  {
    for (int i = 0; i < 3; ++i)
      f.corners_mm[i] = j.at(i).get<stifle::Vector3>();
    double *numbers[] = {&f.area_mm2, &f.touching, &f.pressure_mpa, &f.callus_mpa, &f.opening_mm, &f.slip_mm};
    for (int i = 0; i < 6; ++i)
      *numbers[i] = j.at(3 + i).get<double>();
    f.touch = static_cast<stifle::CutTouch>(std::clamp(j.at(9).get<int>(), 0, 2));
  }
};
} // namespace nlohmann

namespace stifle
{
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(PartPeak, part, von_mises_mpa, place_mm, error_estimate_percent, excluded, principal_strain,
                                   volume_above_yield_mm3, tension_strain, compression_strain, principal_mpa, principal_place_mm)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(CutResult, contact_percent, gap_opening_max_mm, slip_max_mm, plateau_drift_deg,
                                   load_through_bone_percent, load_percent_valid, plate_contact_percent, plate_contact_n,
                                   cut_turn_deg)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ScrewResult, screw, axial_n, shear_n, bending_nmm, head_n)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ScrewShaft, screw, von_mises_mpa, principal_mpa, nominal_mpa, outside_mm, place_mm)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ConstructState, peaks, cut, screws, shafts, reaction_force_n, reaction_moment_nmm,
                                   contact_iterations, contact_residual, converged)
} // namespace stifle

namespace stifle::mesh
{
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ScrewEngagement, screw, cortex_mm, cancellous_mm, proximal)
} // namespace stifle::mesh

namespace stifle::app
{
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(LimbForces, patellar_tendon_n, cruciate_cranial_n, cruciate_caudal_n, hock_force_n)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(StateRow, week, activity, percent, state, limb, closure_force_percent, closure_moment_percent,
                                   seconds, copy_of)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(MarginBand, week, activity, percent, part, mode, low, high, samples, failed, reason)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Collapse, week, activity, percent, first_yield, fracture, bone_limit, reached, no_equilibrium,
                                   reason)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(CutMap, week, activity, percent, hock_force_n, faces)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(FieldFile, path, week, activity, percent)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SlopeTiming, name, seconds)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(RigRow, plateau_angle_deg, quantity, value, unit, part, place_mm)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SlopeResult, target_deg, achieved_deg, operated, tetrahedra, dofs, worst_quality,
                                   cut_area_mm2, plateau_measured_deg, chord_mm, tuberosity_width_mm, holds, states, bands, collapse,
                                   cut_maps, rig, cut_centre_mm, cut_radius_mm, fields, timing, warnings, failed_states, error)

const mesh::ScrewEngagement *SlopeResult::hold(const std::string &screw) const
{
  const auto found = std::find_if(holds.begin(), holds.end(), [&](const mesh::ScrewEngagement &h) { return h.screw == screw; });
  return found == holds.end() ? nullptr : &*found;
}

SlopeResult slope_for(const Levelling &levelling)
{
  SlopeResult slope;
  slope.operated            = levelling.cut;
  slope.target_deg          = degrees(levelling.target_angle_rad);
  slope.achieved_deg        = degrees(levelling.achieved_angle_rad);
  slope.tuberosity_width_mm = levelling.tuberosity_width_mm;
  slope.cut_centre_mm       = levelling.centre;
  slope.cut_radius_mm       = levelling.radius_mm;
  return slope;
}

void take_mesh(SlopeResult &slope, const mesh::ConstructMesh &construct)
{
  slope.tetrahedra           = construct.mesh.tetrahedra.size();
  slope.worst_quality        = construct.worst_quality;
  slope.cut_area_mm2         = construct.cut_area_mm2;
  slope.plateau_measured_deg = degrees(construct.plateau_angle_rad);
  slope.chord_mm             = construct.chord_mm;
  slope.warnings             = construct.warnings;
}

std::string slope_text(const SlopeResult &result, const std::string &fingerprint)
{
  return nlohmann::json{{"fingerprint", fingerprint}, {"slope", result}}.dump() + "\n";
}

bool read_slope_text(const std::string &text, const std::string &fingerprint, SlopeResult &result)
{
  const nlohmann::json file = nlohmann::json::parse(text, nullptr, false);
  if (!file.is_object() || file.value("fingerprint", "") != fingerprint || !file.contains("slope"))
    return false;
  try
  {
    result = file.at("slope").get<SlopeResult>();
    return result.error.empty();
  }
  catch (const nlohmann::json::exception &)
  {
    return false;
  }
}
} // namespace stifle::app
