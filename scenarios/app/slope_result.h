// scenarios/app/slope_result.h - what the construct tier leaves for one plateau slope, and its file for taking up a run
#pragma once
#include "mesh/engagement.h"
#include "solver/results.h"
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

namespace stifle::app
{
/// What the limb puts on the tibia in a state, as far as a margin needs it.
struct LimbForces
{
  double patellar_tendon_n = 0, cruciate_cranial_n = 0, cruciate_caudal_n = 0, hock_force_n = 0;
};

struct StateRow
{
  double         week = 0;
  std::string    activity;
  double         percent = 0;
  ConstructState state;
  LimbForces     limb;
  double closure_force_percent  = 0; ///< |support reaction - hock force of the limb| / hock force
  double closure_moment_percent = 0; ///< |reaction moment about the hock axis| / stifle moment
  double seconds = 0;
  int    copy_of = -1; ///< index of the state of this slope that is the same and was solved; -1: solved itself
};

/// Band of a margin over the drawn constructs (margin_bands.h): 5 and 95 % values.
struct MarginBand
{
  double                week = 0;
  std::string           activity;
  std::optional<double> percent; ///< empty: the race of fatigue over all weeks
  std::string           part, mode;
  std::optional<double> low, high; ///< empty: too many draws failed; high also where 5 % of them load the part not at all
  std::size_t           samples = 0, failed = 0;
  std::string           reason; ///< the most frequent one of the failed
};

/// The worst state loaded until it collapses (collapse_run.h). Factors are those of all forces; 0: not met up to `reached`.
struct Collapse
{
  double      week = 0;
  std::string activity;
  double      percent = 0;
  double      first_yield = 0, fracture = 0, bone_limit = 0, reached = 0;
  bool        no_equilibrium = false; ///< beyond `reached`
  std::string reason;                 ///< why the run ended early
};

/// The faces of the cut in one state.
struct CutMap
{
  double      week = 0;
  std::string activity;
  double      percent = 0, hock_force_n = 0;
  std::vector<CutMapFace> faces;
};

struct FieldFile
{
  std::string path; ///< relative to the results folder
  double      week = 0;
  std::string activity;
  double      percent = 0;
};

struct SlopeTiming
{
  std::string name;
  double      seconds = 0;
};

struct RigRow ///< of rig.csv
{
  double                 plateau_angle_deg = 0;
  std::string            quantity;
  double                 value = 0;
  std::string            unit, part;
  std::optional<Vector3> place_mm;
};

struct SlopeResult
{
  double target_deg = 0, achieved_deg = 0;
  bool   operated = false;
  std::size_t tetrahedra = 0, dofs = 0;
  double worst_quality = 0, cut_area_mm2 = 0, plateau_measured_deg = 0, chord_mm = 0, tuberosity_width_mm = 0;
  std::vector<mesh::ScrewEngagement> holds;  ///< per screw, proximal first
  std::vector<StateRow>    states; ///< week outermost, then activity, then percent
  std::vector<MarginBand>  bands;
  std::optional<Collapse>  collapse;
  std::vector<CutMap>      cut_maps; ///< one a week, see scenarios/app/cut_map.h
  std::vector<RigRow>      rig;      ///< of a bench rig; empty for the limb
  Vector3                  cut_centre_mm = Vector3::Zero(); ///< of the saw, with its radius
  double                   cut_radius_mm = 0;
  std::vector<FieldFile>   fields;
  std::vector<SlopeTiming> timing;
  std::vector<std::string> warnings;
  std::vector<std::string> failed_states; ///< one sentence each; the other states of the slope are kept
  std::string              error; ///< not empty: this slope failed, the rest is kept

  /// The bone around the thread of a screw; null when it is not known.
  const mesh::ScrewEngagement *hold(const std::string &screw) const;
};

/// A slope before it is meshed.
SlopeResult slope_for(const Levelling &levelling);
/// Sizes, quality and warnings of its mesh; the holds are the caller's, since tubes of a rig have none.
void take_mesh(SlopeResult &slope, const mesh::ConstructMesh &construct);

std::string slope_text(const SlopeResult &result, const std::string &fingerprint);
/// False when the text is not a finished slope of this fingerprint.
bool read_slope_text(const std::string &text, const std::string &fingerprint, SlopeResult &result);
} // namespace stifle::app
