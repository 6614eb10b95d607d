// models/core/scenario.h - everything a user may set, with unit, range, default, source and meaning
//   Frame, signs and units: models/core/units.h. Declared once, in scenario.cc; see models/core/parameter.h.
//   Lengths marked "scaled" are for a 30 kg dog with a 200 mm tibia; models/parts/anatomy.h scales them.
#pragma once
#include "models/core/anatomy_variation.h"
#include "models/core/parameter.h"
#include "models/core/rig_parameters.h"
#include "models/core/units.h"
#include <algorithm>

namespace stifle
{
struct DogParameters
{
  std::string name    = "large dog";
  double      mass_kg = 30;
  std::string limb    = "right"; ///< right | left
};

struct TibiaParameters
{
  double                     length_mm           = 200; ///< intercondylar point to hock centre
  double                     plateau_angle_deg   = 25;
  std::optional<double>      tuberosity_width_mm = 10.8;
  std::optional<double>      tuberosity_cranial_mm;  ///< insertion of the patellar tendon, cranial of the functional axis; absent: scaled
  std::optional<double>      tuberosity_proximal_mm; ///< and proximal of the intercondylar point
  std::optional<std::string> surface; ///< STL file of the bone: see models/parts/tibia_scan.h
  std::optional<std::string> inner_surface;                ///< STL file of the inside of its cortex; absent: cortex_mm
  std::vector<double>        surface_landmarks_mm;         ///< 3 points of the files; empty: they are in the tibia frame
  double                     cortex_mm           = 2.0;
  std::string                cortex_law          = "isotropic"; ///< isotropic | orthotropic (axes along the shaft)
  std::string                cancellous_law      = "uniform";   ///< uniform | depth (by the levels below)
  std::vector<double>        cancellous_levels_mm = {4.5, 14.5}; ///< top and third level under the plateau
  double                     hock_offset_cranial_mm = 0; ///< hock centre off the functional axis (assumption to vary)
  double                     hock_offset_medial_mm  = 0;
  bool                       length_from_mass    = false; ///< length_mm was null in the file: see scaled_tibia_length_mm
};

/// 200 (mass / 30 kg)^(1/3) mm: geometric scaling, an assumption (breeds of one mass differ).
double scaled_tibia_length_mm(double mass_kg);

struct JointParameters
{
  int                      dimension = 3;                 ///< 2: the sagittal teaching model
  std::vector<std::string> ligament  = {"torn"};          ///< intact | torn
  double contact_medial_share        = 0.5;               ///< share of the contact force on the medial condyle (assumption)
  double tendon_offset_medial_mm     = 0;                 ///< patellar tendon off the mid-plane (assumption)
  double layer_modulus_mpa           = 8;                 ///< bonded cartilage layer, quick loading
  double layer_thickness_mm          = 2;                 ///< both layers together
  double secondary_slack_mm          = 7;                 ///< travel before collaterals, capsule and meniscal rim resist
  double secondary_stiffness_n_per_mm = 40;
  std::optional<double> tendon_length_mm;                 ///< absent: scaled
  std::optional<double> tendon_angle_deg;                 ///< measured at tendon_angle_stifle_deg; absent: what the landmarks give
  double                tendon_angle_stifle_deg = 135;
  std::optional<double> tendon_plateau_deg;               ///< plateau angle of that measurement (no key: read_scenario sets it)
  std::optional<std::string> landmarks;                   ///< YAML file replacing models/parts/joint_parts.yaml
  std::string meniscus_medial  = "intact";                ///< intact | caudal_pole_removed | removed
  std::string meniscus_lateral = "intact";                ///< intact | removed
  std::optional<std::string> femur_surface;               ///< STL file, femur frame; with tibia.surface
};

struct LoadParameters
{
  std::vector<std::string> set = {"stance"};              ///< stance | press | axial | tendon
  double axial_force_n         = 200;                     ///< size of the force in the sets press, axial, tendon
  double stifle_angle_deg      = 135;                     ///< flexion held in the sets press, axial, tendon
};

struct LimbParameters
{
  std::optional<std::string> activity_table;              ///< YAML file replacing models/limb/activities.yaml
  double gastrocnemius_share = 0.67;                      ///< part of the calcanean force that crosses the stifle
  double hamstrings_n        = 0;
  double popliteus_n         = 0;
  double muscle_stress_mpa   = 0.30;                      ///< with the area: cap of a muscle (models/limb/muscle_cap.h)
  double quadriceps_area_mm2 = 2000;                      ///< physiological cross-section at 30 kg, scaled
};

struct RepairParameters
{
  std::vector<std::string> kind = {"levelling"};          ///< none | levelling | wedge | suture | advancement
  bool has(const std::string &word) const { return std::find(kind.begin(), kind.end(), word) != kind.end(); }
};

struct LevellingParameters
{
  std::vector<double>   plateau_angles_deg = {15, 10, 6, 0};
  double                saw_radius_mm      = 24;
  std::string           fibular_head       = "proximal";  ///< proximal | distal: which segment it follows
  std::optional<double> centre_offset_mm;                 ///< cranial offset of the arc centre; absent if the tuberosity width is given
  double                centre_height_mm   = 0;           ///< arc centre proximal of the intercondylar point
};

struct WedgeParameters
{
  std::optional<double> wedge_deg;                        ///< absent: computed for target_deg
  double                target_deg = 5;                   ///< achieved plateau angle aimed at
  std::optional<double> hinge_distance_mm;                ///< D; absent: 75 scaled
  std::optional<double> axis_distance_mm;                 ///< a; absent: 10 scaled
};

struct SutureParameters
{
  std::string line                     = "nylon_leader_45kg";
  double      pre_tension_n            = 40;
  double      fixed_at_deg             = 140;             ///< stifle angle in which the line is fixed
  double      anchor_stiffness_n_per_mm = 30.5;           ///< in series with the line
  double      slack_mm                 = 0;
  double      cycles                   = 0;               ///< loadings since surgery, for creep
};

struct AdvancementParameters
{
  std::optional<double> advancement_mm;                   ///< along the plateau; absent: for a tendon angle of 90 deg at stifle 135
  std::optional<double> spacer_mm;                        ///< size of the spacer; its advancement is 15.5 % less
  double                proximal_shift_mm = 0;
};

struct PassiveParameters
{
  std::vector<double> flexion_deg      = {0, 20, 40, 60, 80}; ///< 180 minus the stifle angle
  double              hand_force_n     = 50;              ///< drawer
  double              hand_moment_nmm  = 1000;            ///< internal rotation
  double              gastrocnemius_n  = 50;              ///< tibial compression, where it crosses the stifle
  double              hock_angle_deg   = 100;             ///< tibial compression, 180 is straight
  double              compression_n    = 20;              ///< of tibia against femur in every test but tibial compression
};

struct RadiographParameters
{
  std::optional<std::string> landmarks;                   ///< YAML file: models/parts/radiograph.h
  std::vector<std::string>   replaced;                    ///< keys that the film has set (no key of the scenario itself)
};

struct PlateParameters
{
  double                     width_mm      = 11;
  double                     thickness_mm  = 3.3;
  std::string                material      = "steel_316l_cold_worked";
  std::optional<std::string> file;                        ///< STEP file: mesh/user_plate.h
  std::vector<double>        landmarks_plate_mm;          ///< 3 points in the frame of that file
  std::vector<double>        landmarks_bone_mm;           ///< where they go, tibia frame, levelled pose
  std::string                seating       = "stand_off"; ///< stand_off | landmarks: of a plate from a file
  double                     head_width_mm = 24;
  double                     stand_off_mm  = 0.8;
  double                     craniocaudal_mm = -2;        ///< x of the shaft centre line of the plate
  std::vector<double>        widths_mm;                   ///< from the proximal to the distal end, evenly spaced; empty: head and shaft
  std::optional<double>      length_mm;                   ///< absent: from the outermost holes
  double                     inclination_deg = 0;         ///< of plate and holes about y; > 0 moves the distal end caudal
  std::string                bone_contact  = "none";      ///< none (stands off) | friction (its underside follows the bone and presses)
  double                     friction      = 0.3;         ///< between plate and bone
  double                     contact_depth_mm = 0.25;     ///< how deep the underside is shaped to the bone; used with bone_contact
};

struct ScrewParameters
{
  double              core_mm         = 2.9;
  double              major_mm        = 3.5;
  std::string         material        = "steel_316l_cold_worked";
  std::vector<double> proximal_x_mm   = {-10, 3, -4};     ///< holes over the proximal segment, in the levelled pose
  std::vector<double> proximal_z_mm   = {-10, -10, -17};
  std::vector<double> distal_z_mm     = {-36, -49, -62};
  std::vector<double> distal_x_mm;                        ///< empty: on the centre line of the plate
  // One value for all holes or one per hole, proximal holes before distal ones, each as listed above.
  std::vector<std::string> holes      = {"locking"};      ///< locking | plain | none (no screw)
  std::vector<std::string> sizes      = {"own"};          ///< own (core_mm, major_mm) | a row of models/parts/screws.yaml
  std::vector<std::string> cortices   = {"both"};         ///< both | one
  std::vector<double> lengths_mm;                         ///< outer face of the plate to tip; empty: by the cortices
  std::vector<double> preload_n     = {0};                ///< pull in a plain screw after tightening
  std::vector<double> compression_n = {0};                ///< of a load screw along the plate, towards the cut
};

struct HealingParameters
{
  std::vector<double> weeks = {0};
  std::string         cut   = "contact";                  ///< contact (fresh, friction) | gap (open) | bonded (healed)
  double              friction = 0.4;
  double              gap_mm   = 1.0;                     ///< thickness of callus in the cut
  std::string         diary    = "normal";                ///< table of models/healing/diary.yaml, or of the own file below
  std::string         limb_use = "full";                  ///< likewise; scales the ground force by week
  std::string         load_path = "instants";             ///< of the friction in the cut: instants (in turn) | each (on its own)
  std::optional<std::string> diary_table;                 ///< YAML file replacing models/healing/diary.yaml
};

struct StudyParameters
{
  std::vector<double> stance_percent    = {25, 50, 75};
  std::vector<double> sweep_plateau_deg = {-5, 35, 1};    ///< first, last, step
  int                 samples           = 0;
  int                 margin_samples    = 64;             ///< of them, for the bands of margins: each solves ten states a slope
  std::string         design            = "sobol";        ///< sobol | latin_hypercube
  int                 seed              = 1;
  VariedKeys          vary;                               ///< see models/core/study_variants.h
  int                 dogs              = 0;              ///< drawn, each a variant of its own
  int                 dog               = 0;              ///< the drawn dog that is computed; 0: that of the scenario
  bool expands() const { return !vary.empty() || dogs > 0; }
};

struct MeshParameters
{
  double bone_size_mm   = 3;
  double detail_size_mm = 0.6;
};

struct OutputParameters
{
  std::string fields   = "least_margin";                  ///< none | least_margin | all
  bool        pictures = true;
  std::string collapse = "none";                          ///< none | worst
};

struct Scenario
{
  DogParameters            dog;
  TibiaParameters          tibia;
  JointParameters          joint;
  LoadParameters           loads;
  LimbParameters           limb;
  RepairParameters         repair;
  LevellingParameters      levelling;
  WedgeParameters          wedge;
  SutureParameters         suture;
  AdvancementParameters    advancement;
  PassiveParameters        passive;
  RadiographParameters     radiograph;
  std::vector<std::string> activities = {"stand", "walk", "trot"};
  PlateParameters          plate;
  ScrewParameters          screws;
  HealingParameters        healing;
  RigParameters            rig;
  StudyParameters          study;
  MeshParameters           mesh;
  OutputParameters         output;
  AnatomyVariation         variation; ///< no key: one_dog (models/study/one_dog.h) sets it

  /// The one declaration of every key (scenario.cc).
  void visit(ParameterVisitor &visitor);
};

/// Reads and checks a scenario. Throws InputError with every problem found (unknown, repeated or mistyped keys,
/// values out of range, combinations that cannot be, files that are missing). Relative paths inside are taken from
/// the folder of `file`. Computes nothing.
Scenario read_scenario(const std::string &file);

/// Every value used, with unit, source label and sentence as comments: the scenario.yaml of the results.
std::string echo_scenario(const Scenario &scenario);

/// One line per key for `stifle keys [path]`; throws InputError with the nearest key when the path is unknown.
std::string describe_keys(const std::string &path = "");

/// The commented scenario written by `stifle new`.
std::string template_scenario();

/// Label and source of every default used: for summary.json `assumptions`.
struct AssumptionRow
{
  std::string key, label, source;
};
std::vector<AssumptionRow> list_assumptions(const Scenario &scenario);
} // namespace stifle
