// viz/picture.h - the pictures of a run, made from the files of the results folder alone (never from the solver)
//   Each function returns false, with one line in `why`, when no picture can be made (no X screen, a file or a row is
//   missing, nothing to show); it never aborts the run. Hold a VirtualScreen over several calls: starting one costs 0.2 s.
//   colours  stress: viz/colour.h; lines differ in style and marker as well
//   errors   Error only when the PNG cannot be written
#pragma once
#include "models/core/scenario.h"
#include <string>
#include <utility>
#include <vector>

namespace stifle::viz
{
struct ConstructPicture
{
  std::string vtu; ///< field file of one state
  std::string png;
  std::string title;            ///< the state in words: "Plateau levelled to 6 deg, week 0, walk, 50 % of stance"
  double deformation_scale = 0; ///< 0: chosen (1, 2, 5, 10, ...) so that the largest movement shows as about 4 mm
  double top_mpa = 0;           ///< end of the colour bar; 0: chosen from the plate and screws
  std::string caution = {};     ///< in small type at the foot, here and below; empty: none
};
/// Bone translucent, plate and screws coloured by von Mises stress; medial view and cranial view. A whole bone without plate
/// is coloured itself.
bool draw_construct(const ConstructPicture &picture, std::string *why = nullptr);

/// Which row of joint.csv; empty words match any row.
struct RowKey
{
  std::string repair; ///< none | levelling | wedge | suture | advancement
  double plateau_angle_target_deg = 0;
  std::string ligament, load_set = "stance", activity;
  double stance_percent = 50; ///< taken no notice of outside the set stance
};
/// Sagittal section with the forces on the tibia, a panel for each key, one scale. Bone outlines are drawn from the landmarks of
/// the scenario, all forces, their places and the place of the femur from joint.csv and joint_pose.csv; three-dimensional results
/// are projected on the sagittal plane. When the first panel is the intact joint the others show where its condyle would lie.
struct JointPicture
{
  std::string folder; ///< results folder
  std::string png;
  std::string title;
  Scenario scenario;
  std::vector<RowKey> panels; ///< 1 to 3; repair none, levelling or wedge
  std::string caution;
};
bool draw_joint(const JointPicture &picture, std::string *why = nullptr);

struct ThrustPicture
{
  std::string folder;
  std::string png;
  std::string title = "Thrust on the tibia against plateau angle";
  std::string load_set = "stance";
  std::string repair; ///< empty: levelling when the file has such rows, else none
  std::vector<std::string> activities = {"stand", "walk", "trot"};
  double stance_percent = 50;
  std::string caution;
};
/// Thrust against plateau angle with the zero line; the band between thrust_low_n and thrust_high_n shaded where the file has
/// one; the neutral slope of each activity is marked where its curve crosses zero.
bool draw_thrust(const ThrustPicture &picture, std::string *why = nullptr);

struct TranslationPicture
{
  std::string folder, png;
  std::string activity = "walk";
  double native_deg = 25, levelled_deg = 6; ///< targets; for a repair with neither the nearest one in the file serves
  std::string caution;
};
/// Cranial translation of the torn joint over stance, a curve for each repair in joint.csv. Needs two instants of stance.
bool draw_translation(const TranslationPicture &picture, std::string *why = nullptr);

struct DrawerPicture
{
  std::string folder, png;
  std::string activity = "walk";
  double stance_percent = 50, native_deg = 25, levelled_deg = 6;
  double stifle_angle_deg = 140; ///< of the hand test; the nearest one in the file serves
  std::string caution;
};
/// Drawer by hand (passive.csv) beside thrust and translation under weight (joint.csv), torn joint unoperated and levelled.
bool draw_drawer(const DrawerPicture &picture, std::string *why = nullptr);

struct PosturePicture
{
  std::string folder, png;
  std::string caution;
};
/// Thrust and force of the intact cranial cruciate against stifle angle (posture.csv).
bool draw_posture(const PosturePicture &picture, std::string *why = nullptr);

struct RepairsPicture
{
  std::string folder, png;
  std::string activity = "walk";
  double stance_percent = 50;
  double levelled_deg = 6; ///< of several levelling targets the nearest one is shown
  std::string caution;
};
/// Repairs side by side (repairs.csv): subluxation, and load of the repair beside its strength.
bool draw_repairs(const RepairsPicture &picture, std::string *why = nullptr);

struct MarginPicture
{
  std::string folder, png;
  std::string mode = "yield"; ///< empty: all modes but fatigue, which runs over the weeks
  std::string group; ///< metal, bone, or empty for all parts
  double plateau_angle_target_deg = 6; ///< the nearest one in the file serves
  std::string caution;
};
/// Margin of a mode against week, a curve for each activity: the least over the parts (margins.csv), with a bar from low to high
/// where the row has them. Needs two weeks.
bool draw_margin_weeks(const MarginPicture &picture, std::string *why = nullptr);

struct PartMarginPicture
{
  std::string vtu;    ///< any field file of the slope: for the shape alone
  std::string folder, png;
  double plateau_angle_target_deg = 6; ///< the nearest one in the file serves
  std::string caution;
};
/// Plate and screws, each in the colour of its least margin over modes, activities and weeks (margins.csv), with the number, the
/// mode and the state beside it; the least one is framed. Points at which a peak was read are ringed.
bool draw_part_margins(const PartMarginPicture &picture, std::string *why = nullptr);

struct CutMapPicture
{
  std::string folder, png;
  double plateau_angle_target_deg = 6; ///< the nearest one in the file serves
  std::string caution;
};
/// The cut rolled out, a panel for each week (cut_map.csv; up to 6 weeks, evenly chosen): compression by colour, open faces hatched,
/// area that touches and the largest values as numbers.
bool draw_cut_map(const CutMapPicture &picture, std::string *why = nullptr);

struct LoadSharePicture
{
  std::string folder, png;
  std::string activity = "walk";
  double stance_percent = 50, plateau_angle_target_deg = 6;
  std::string caution;
};
/// By week: share of bone and plate in the axial load across the cut (cut.csv), axial force of each screw, and the share of each
/// screw in the shear of the screws of its segment (screws.csv). The instant nearest to `stance_percent` serves.
bool draw_load_share(const LoadSharePicture &picture, std::string *why = nullptr);
} // namespace stifle::viz
