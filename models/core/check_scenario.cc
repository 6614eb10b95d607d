#include "models/core/check_scenario.h"
#include "models/core/check_rig.h"
#include "models/core/check_user_files.h"
#include "models/core/files.h"
#include "models/core/nearest.h"
#include "models/core/per_hole.h"
#include "models/healing/diary.h"
#include "models/limb/activities.h"
#include "models/parts/advancement.h"
#include "models/parts/anatomy.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <tuple>

namespace stifle
{
namespace
{
constexpr int max_sweep_points = 400;

class Combinations
{
public:
  Combinations(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
    : reader_(reader), scenario_(scenario), failed_(failed)
  {}
  void arc_is_placed_once();
  void targets_lower_the_plateau();
  void sweep_is_finite();
  void thread_is_outside_the_core();
  void details_are_finer();
  void plate_has_one_outline();
  void holes_have_their_places();
  void hole_lists_fit();
  void each_segment_has_a_screw();
  void plain_screws_hold();
  void activities_are_in_the_table();
  void popliteus_is_out_of_plane();
  void wedge_is_on_the_tibia();
  void wedge_lowers_the_plateau();
  void advancement_is_given_once();
  void plane_has_no_sides();
  void patella_is_in_its_groove();
  void weeks_rise();
  void diary_is_in_its_file();

private:
  bool judged(const std::string &a, const std::string &b = "") const { return failed_.count(a) == 0 && failed_.count(b) == 0; }
  std::vector<Activity> table();
  std::vector<std::string> known_activities() const;
  std::optional<DiaryFile> diaries();

  YamlReader                  &reader_;
  const Scenario              &scenario_;
  const std::set<std::string> &failed_;
};

void Combinations::arc_is_placed_once()
{
  const auto &width = scenario_.tibia.tuberosity_width_mm, &offset = scenario_.levelling.centre_offset_mm;
  if (judged("tibia.tuberosity_width_mm", "levelling.centre_offset_mm") && width && offset)
    reader_.problem(
        "levelling", reader_.place("levelling", "centre_offset_mm"),
        fmt::format("levelling.centre_offset_mm must be absent: the arc is placed by tibia.tuberosity_width_mm ({} mm)", *width),
        to_string_exact(*offset), "null, or tibia.tuberosity_width_mm: null");
}

void Combinations::targets_lower_the_plateau()
{
  if (!scenario_.repair.has("levelling") || !judged("tibia.plateau_angle_deg", "levelling.plateau_angles_deg") || !judged("repair.kind"))
    return;
  const auto  &targets = scenario_.levelling.plateau_angles_deg;
  const double plateau = scenario_.tibia.plateau_angle_deg;
  const bool written =
      reader_.root().find("levelling") != nullptr && reader_.root().find("levelling")->find("plateau_angles_deg") != nullptr;
  for (std::size_t i = 0; i < targets.size(); ++i)
    if (targets[i] > plateau)
      reader_.problem("levelling", written ? reader_.place("levelling", "plateau_angles_deg", i) : reader_.place("tibia", "plateau_angle_deg"),
                      fmt::format("levelling.plateau_angles_deg[{}] is steeper than the plateau before surgery", i + 1),
                      to_string_exact(targets[i]) + (written ? "" : " (default)"),
                      fmt::format("at most tibia.plateau_angle_deg, {} (deg)", plateau));
}

void Combinations::wedge_is_on_the_tibia()
{
  const auto &hinge = scenario_.wedge.hinge_distance_mm;
  const double longest = 0.9 * scenario_.tibia.length_mm;
  if (judged("wedge.hinge_distance_mm", "tibia.length_mm") && hinge && *hinge > longest)
    reader_.problem("wedge", reader_.place("wedge", "hinge_distance_mm"), "wedge.hinge_distance_mm lies beyond the shaft", to_string_exact(*hinge),
                    fmt::format("at most 0.9 of tibia.length_mm, {} (mm)", longest));
}

void Combinations::wedge_lowers_the_plateau()
{
  const double target = scenario_.wedge.target_deg, plateau = scenario_.tibia.plateau_angle_deg;
  if (scenario_.repair.has("wedge") && judged("wedge.target_deg", "tibia.plateau_angle_deg") && judged("repair.kind", "wedge.wedge_deg") &&
      !scenario_.wedge.wedge_deg && target >= plateau)
    reader_.problem("wedge", reader_.place("wedge", "target_deg"), "wedge.target_deg is not below the plateau angle before surgery",
                    to_string_exact(target), fmt::format("below tibia.plateau_angle_deg, {} (deg)", plateau));
}

void Combinations::advancement_is_given_once()
{
  const AdvancementParameters &p = scenario_.advancement;
  if (!judged("advancement.advancement_mm", "advancement.spacer_mm") || !p.spacer_mm)
    return;
  const auto &sizes = spacer_sizes_mm();
  if (p.advancement_mm)
    reader_.problem("advancement", reader_.place("advancement", "spacer_mm"),
                    fmt::format("advancement.spacer_mm must be absent: advancement.advancement_mm ({} mm) is given", *p.advancement_mm),
                    to_string_exact(*p.spacer_mm), "null, or advancement.advancement_mm: null");
  else if (std::find(sizes.begin(), sizes.end(), *p.spacer_mm) == sizes.end())
    reader_.problem("advancement", reader_.place("advancement", "spacer_mm"), "advancement.spacer_mm is not a size of spacer",
                    to_string_exact(*p.spacer_mm), fmt::format("{} (mm)", fmt::join(sizes, ", ")));
}

void Combinations::sweep_is_finite()
{
  const auto &sweep = scenario_.study.sweep_plateau_deg;
  if (!judged("study.sweep_plateau_deg") || sweep.size() != 3)
    return;
  const std::string found = fmt::format("[{}, {}, {}]", sweep[0], sweep[1], sweep[2]), path = "study.sweep_plateau_deg";
  if (sweep[0] >= sweep[1])
    reader_.problem("study", reader_.place("study", "sweep_plateau_deg"), path + ": the first angle must be below the last", found,
                    "first < last");
  if (sweep[2] <= 0)
    reader_.problem("study", reader_.place("study", "sweep_plateau_deg", 2), path + ": the step must be above 0", to_string_exact(sweep[2]),
                    "step > 0");
  else if (std::floor((sweep[1] - sweep[0]) / sweep[2] + 1e-9) + 1 > max_sweep_points)
    reader_.problem("study", reader_.place("study", "sweep_plateau_deg", 2), path + " has too many points", found,
                    fmt::format("at most {} points", max_sweep_points));
}

void Combinations::thread_is_outside_the_core()
{
  const auto &screws = scenario_.screws;
  if (judged("screws.core_mm", "screws.major_mm") && screws.core_mm >= screws.major_mm)
    reader_.problem("screws", reader_.place("screws", "core_mm"), "screws.core_mm must be smaller than screws.major_mm",
                    to_string_exact(screws.core_mm), fmt::format("below {} (mm)", screws.major_mm));
}

void Combinations::details_are_finer()
{
  const auto &mesh = scenario_.mesh;
  if (judged("mesh.bone_size_mm", "mesh.detail_size_mm") && mesh.detail_size_mm > mesh.bone_size_mm)
    reader_.problem("mesh", reader_.place("mesh", "detail_size_mm"), "mesh.detail_size_mm is coarser than mesh.bone_size_mm",
                    to_string_exact(mesh.detail_size_mm), fmt::format("at most {} (mm)", mesh.bone_size_mm));
}

/// A width written beside plate.widths_mm would be ignored; at its default (as in an echoed scenario) nobody asked for it.
void Combinations::plate_has_one_outline()
{
  const PlateParameters &plate = scenario_.plate, defaults;
  if (!judged("plate.widths_mm") || plate.widths_mm.empty() || (scenario_.rig.on() && scenario_.rig.used_specimen() != "tibia"))
    return;
  for (const auto &[key, value, usual] : {std::tuple("width_mm", plate.width_mm, defaults.width_mm),
                                          std::tuple("head_width_mm", plate.head_width_mm, defaults.head_width_mm)})
    if (judged("plate." + std::string(key)) && value != usual)
      reader_.problem("plate", reader_.place("plate", key), fmt::format("plate.{} must be absent: plate.widths_mm gives the outline", key),
                      to_string_exact(value), fmt::format("plate.{} left out, or plate.widths_mm: []", key));
}

void Combinations::holes_have_their_places()
{
  const ScrewParameters &p = scenario_.screws;
  if (judged("screws.proximal_x_mm", "screws.proximal_z_mm") && p.proximal_x_mm.size() != p.proximal_z_mm.size())
    reader_.problem("screws", reader_.place("screws", "proximal_x_mm"), "screws.proximal_x_mm and screws.proximal_z_mm differ in length",
                    fmt::format("{} and {} entries", p.proximal_x_mm.size(), p.proximal_z_mm.size()), "one x and one z for each hole");
  if (judged("screws.distal_x_mm", "screws.distal_z_mm") && !p.distal_x_mm.empty() && p.distal_x_mm.size() != p.distal_z_mm.size())
    reader_.problem("screws", reader_.place("screws", "distal_x_mm"), "screws.distal_x_mm and screws.distal_z_mm differ in length",
                    fmt::format("{} and {} entries", p.distal_x_mm.size(), p.distal_z_mm.size()), "one x for each z, or none");
}

void Combinations::hole_lists_fit()
{
  const ScrewParameters &p = scenario_.screws;
  if (scenario_.plate.file || !judged("screws.proximal_x_mm", "screws.distal_z_mm"))
    return;
  const std::size_t n = p.proximal_x_mm.size() + p.distal_z_mm.size();
  const auto fits = [&](const std::string &key, std::size_t size)
  {
    if (judged("screws." + key) && size > 1 && size != n)
      reader_.problem("screws", reader_.place("screws", key), fmt::format("screws.{} does not fit the holes", key), fmt::format("{} entries", size),
                      fmt::format("1 entry, or {}: {} proximal holes, then {} distal ones", n, p.proximal_x_mm.size(), p.distal_z_mm.size()));
  };
  fits("holes", p.holes.size());
  fits("sizes", p.sizes.size());
  fits("cortices", p.cortices.size());
  fits("lengths_mm", p.lengths_mm.size());
  fits("preload_n", p.preload_n.size()), fits("compression_n", p.compression_n.size());
}

void Combinations::each_segment_has_a_screw()
{
  const ScrewParameters &p = scenario_.screws;
  const std::size_t n = p.proximal_x_mm.size(), all = n + p.distal_z_mm.size();
  if (scenario_.plate.file || !judged("screws.proximal_x_mm", "screws.distal_z_mm") || !judged("screws.holes") ||
      (p.holes.size() != 1 && p.holes.size() != all))
    return;
  for (const bool proximal : {true, false})
  {
    bool any = false;
    for (std::size_t i = proximal ? 0 : n; i < (proximal ? n : all); ++i)
      any = any || per_hole(p.holes, i) != "none";
    if (!any)
      reader_.problem("screws", reader_.place("screws", "holes"),
                      fmt::format("screws.holes leaves the {} segment without a screw", proximal ? "proximal" : "distal"), join(p.holes), "at least one screw on each side of the cut");
  }
}

void Combinations::plain_screws_hold()
{
  const ScrewParameters &p = scenario_.screws;
  const auto holds = [&](const char *kind) { return std::count(p.holes.begin(), p.holes.end(), kind) > 0; };
  const auto pulls = [](const std::vector<double> &list) { return *std::max_element(list.begin(), list.end()) > 0; };
  if (!judged("screws.holes", "plate.bone_contact") || !judged("screws.preload_n", "screws.compression_n"))
    return;
  for (const auto &[key, list] : {std::pair("preload_n", &p.preload_n), std::pair("compression_n", &p.compression_n)})
    if (pulls(*list) && !holds("plain"))
      reader_.problem("screws", reader_.place("screws", key), fmt::format("screws.{} needs a plain screw", key), join(p.holes),
                      "plain in screws.holes");
  if (holds("plain") && !holds("locking") && (scenario_.plate.bone_contact == "none" || !pulls(p.preload_n)))
    reader_.problem("screws", reader_.place("screws", "holes"), "plain screws alone hold no plate that is not pressed on the bone", join(p.holes),
                    "plate.bone_contact: friction and screws.preload_n above 0, or a locking screw");
}

std::vector<Activity> Combinations::table()
{
  if (!scenario_.limb.activity_table)
    return default_activities();
  try
  {
    return read_activities(*scenario_.limb.activity_table);
  }
  catch (const InputError &error)
  {
    for (InputProblem problem : error.problems())
    {
      problem.section = "limb";
      reader_.problems().push_back(problem);
    }
    return {};
  }
}

void Combinations::activities_are_in_the_table()
{
  if (!judged("limb.activity_table"))
    return;
  const std::vector<Activity> activities = table();
  if (activities.empty() || !judged("activities"))
    return;
  std::vector<std::string> names;
  for (const Activity &activity : activities)
    names.push_back(activity.name);
  for (std::size_t i = 0; i < scenario_.activities.size(); ++i)
    if (std::find(names.begin(), names.end(), scenario_.activities[i]) == names.end())
      reader_.problem("activities", reader_.place("", "activities", i), fmt::format("activities[{}] is not in the activity table", i + 1),
                      scenario_.activities[i], join(names), nearest_word(scenario_.activities[i], names));
}

void Combinations::popliteus_is_out_of_plane()
{
  if (judged("limb.popliteus_n", "joint.dimension") && scenario_.joint.dimension == 2 && scenario_.limb.popliteus_n > 0)
    reader_.problem("limb", reader_.place("limb", "popliteus_n"), "limb.popliteus_n pulls out of the plane of joint.dimension 2",
                    to_string_exact(scenario_.limb.popliteus_n), "0, or joint.dimension: 3");
}

/// The suture lies beside the joint and surfaces have two compartments: neither is in the sagittal plane.
void Combinations::plane_has_no_sides()
{
  if (!judged("joint.dimension") || scenario_.joint.dimension != 2)
    return;
  if (judged("repair.kind") && scenario_.repair.has("suture"))
    reader_.problem("repair", reader_.place("repair", "kind"), "repair.kind suture needs the joint in three dimensions", "joint.dimension: 2",
                    "joint.dimension: 3, or repair.kind without suture");
  if (judged("tibia.surface") && scenario_.tibia.surface && scenario_.joint.femur_surface)
    reader_.problem("tibia", reader_.place("tibia", "surface"), "tibia.surface needs the joint in three dimensions", "joint.dimension: 2",
                    "joint.dimension: 3, or tibia.surface: null");
  if (judged("joint.femur_surface") && scenario_.joint.femur_surface)
    reader_.problem("joint", reader_.place("joint", "femur_surface"), "joint.femur_surface needs the joint in three dimensions",
                    "joint.dimension: 2", "joint.dimension: 3, or joint.femur_surface: null");
}

void Combinations::patella_is_in_its_groove()
{
  if (failed_.size() + reader_.problems().size() > 0) // judged on a whole dog only
    return;
  try
  {
    const bool film = scenario_.radiograph.landmarks.has_value();
    if (const auto found = tendon_problem(scenario_))
      reader_.problem(film ? "radiograph" : "joint", film ? reader_.place("radiograph", "landmarks") : reader_.place("joint", "tendon_angle_deg"),
                      fmt::format("{} does not fit the femur of a tibia of {:.4g} mm",
                                  film ? "the patellar tendon of radiograph.landmarks" : "joint.tendon_angle_deg",
                                  scenario_.tibia.length_mm),
                      *found,
                      film ? "look at patella_distal, tuberosity, stifle_angle_deg and the scale of the film"
                           : "look at joint.tendon_angle_deg, tendon_angle_stifle_deg, tendon_length_mm and tibia.tuberosity_*");
  }
  catch (const InputError &) // of joint.landmarks: told by its own reader
  {
  }
}

void Combinations::weeks_rise()
{
  const auto &weeks = scenario_.healing.weeks;
  if (!judged("healing.weeks"))
    return;
  for (std::size_t i = 1; i < weeks.size(); ++i)
    if (weeks[i] < weeks[i - 1]) // the same twice: told by the list itself
      reader_.problem("healing", reader_.place("healing", "weeks", i), fmt::format("healing.weeks[{}] must be later than the week before", i + 1),
                      to_string_exact(weeks[i]), fmt::format("above {} (weeks)", weeks[i - 1]));
}

/// Empty when the activity table cannot be read: that is told elsewhere.
std::vector<std::string> Combinations::known_activities() const
{
  std::vector<std::string> names;
  try
  {
    for (const Activity &activity : scenario_.limb.activity_table ? read_activities(*scenario_.limb.activity_table) : default_activities())
      names.push_back(activity.name);
  }
  catch (const InputError &)
  {
  }
  return names;
}

/// Only an own diary must keep to the activity table: the one shipped names every shipped activity.
std::optional<DiaryFile> Combinations::diaries()
{
  const auto &own = scenario_.healing.diary_table;
  if (!own)
    return read_diaries(data_file("models/healing/diary.yaml"));
  try
  {
    return read_diaries(*own, judged("limb.activity_table") ? known_activities() : std::vector<std::string>{});
  }
  catch (const InputError &error)
  {
    reader_.problems().insert(reader_.problems().end(), error.problems().begin(), error.problems().end());
    return {};
  }
}

void Combinations::diary_is_in_its_file()
{
  if (!judged("healing.diary_table"))
    return;
  const auto file = diaries();
  if (!file)
    return;
  const auto check = [&](const std::string &key, const std::string &word, const std::vector<std::string> &names)
  {
    if (judged("healing." + key) && std::find(names.begin(), names.end(), word) == names.end())
      reader_.problem("healing", reader_.place("healing", key),
                      fmt::format("healing.{} is not a table of {}", key, scenario_.healing.diary_table ? "healing.diary_table" : "the diary shipped"),
                      word, join(names), nearest_word(word, names));
  };
  check("diary", scenario_.healing.diary, file->diary_names());
  check("limb_use", scenario_.healing.limb_use, file->limb_use_names());
}
} // namespace

void check_scenario(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
{
  Combinations combinations(reader, scenario, failed);
  combinations.arc_is_placed_once();
  combinations.targets_lower_the_plateau();
  combinations.sweep_is_finite();
  combinations.thread_is_outside_the_core();
  combinations.details_are_finer();
  combinations.plate_has_one_outline();
  combinations.holes_have_their_places();
  combinations.hole_lists_fit();
  combinations.each_segment_has_a_screw();
  combinations.plain_screws_hold();
  combinations.activities_are_in_the_table();
  combinations.popliteus_is_out_of_plane();
  combinations.wedge_is_on_the_tibia();
  combinations.wedge_lowers_the_plateau();
  combinations.advancement_is_given_once();
  check_user_files(reader, scenario, failed);
  combinations.plane_has_no_sides();
  combinations.weeks_rise();
  combinations.diary_is_in_its_file();
  check_rig(reader, scenario, failed);
  combinations.patella_is_in_its_groove();
}
} // namespace stifle
