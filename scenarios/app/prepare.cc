#include "scenarios/app/prepare.h"
#include "mesh/bone_lofts.h"
#include "mesh/construct.h"
#include "models/core/error.h"
#include "models/core/nearest.h"
#include "models/joint/user_surfaces.h"
#include "models/parts/repair.h"
#include "models/parts/tibia_scan.h"
#include "scenarios/app/refusals.h"
#include "scenarios/app/rig_tier.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
std::vector<Activity> chosen_activities(const Scenario &scenario, const std::string &file)
{
  const std::vector<Activity> table =
      scenario.limb.activity_table ? read_activities(*scenario.limb.activity_table) : default_activities();
  std::vector<std::string> names;
  for (const Activity &activity : table)
    names.push_back(activity.name);
  std::vector<Activity>     chosen;
  std::vector<InputProblem> problems;
  for (const std::string &name : scenario.activities)
  {
    if (const Activity *found = find_activity(table, name))
    {
      chosen.push_back(*found);
      continue;
    }
    InputProblem problem;
    problem.file    = file;
    problem.message = "unknown activity in activities";
    problem.found   = name;
    problem.allowed = fmt::format("{}", fmt::join(names, ", "));
    problem.nearest = nearest_word(name, names);
    problems.push_back(problem);
  }
  if (!problems.empty())
    throw InputError(problems);
  return chosen;
}

std::vector<std::string> check_geometry(const Scenario &scenario, const std::string &file)
{
  std::vector<std::string> notes;
  check_user_surfaces(scenario);
  check_tibia_scan(scenario);
  if (scenario.rig.on())
  {
    check_rig_geometry(scenario, file);
    return notes;
  }
  const Anatomy anatomy = make_anatomy(scenario);
  Refusals      refusals(file);
  const auto    attempt = [&](const std::string &what, const std::string &allowed, const auto &work) {
    try
    {
      work();
    }
    catch (const Error &error)
    {
      refusals.add(what, error.what(), allowed);
    }
  };
  attempt("the bone of tibia.surface", "a whole tibia, right limb, mm: see stifle keys tibia",
          [&] { notes = mesh::check_bone(scenario, anatomy); });
  if (refusals.none() && has_repair(scenario, RepairKind::levelling))
    for (double angle_deg : scenario.levelling.plateau_angles_deg)
      attempt(fmt::format("levelling to {:g} deg", angle_deg),
              "a cut, plate and screws that fit the bone: see stifle keys levelling, plate, screws",
              [&]
              {
                const auto found = mesh::check_construct(scenario, anatomy, plan_levelling(scenario, anatomy, radians(angle_deg)));
                if (!found.empty())
                  notes.push_back(fmt::format("levelled to {:g} deg:", angle_deg));
                notes.insert(notes.end(), found.begin(), found.end());
              });
  for (const RepairKind kind : {RepairKind::wedge, RepairKind::suture, RepairKind::advancement})
    if (has_repair(scenario, kind))
      attempt(to_string(kind), "see stifle keys " + to_string(kind), [&] { repaired(scenario, anatomy, kind); });
  refusals.finish();
  return notes;
}
} // namespace stifle::app
