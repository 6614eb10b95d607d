#include "models/core/check_rig.h"
#include "models/core/per_hole.h"
#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace stifle
{
namespace
{
class RigCheck
{
public:
  RigCheck(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
    : reader_(reader), s_(scenario), p_(scenario.rig), failed_(failed)
  {}
  void specimen();
  void screw();
  void sizes();
  void straight_plate();

private:
  bool judged(const std::string &a, const std::string &b) const { return failed_.count(a) == 0 && failed_.count(b) == 0; }
  void problem(const std::string &key, const std::string &message, const std::string &found, const std::string &allowed)
  {
    reader_.problem("rig", reader_.place("rig", key), message, found, allowed);
  }
  YamlReader &reader_;
  const Scenario &s_;
  const RigParameters &p_;
  const std::set<std::string> &failed_;
};

void RigCheck::specimen()
{
  const std::map<std::string, std::vector<std::string>> known = {{"four_point_bending", {"plate", "tubes"}},
                                                                 {"torsion", {"tubes"}},
                                                                 {"axial", {"tibia", "tubes"}},
                                                                 {"tendon_pull", {"tibia"}},
                                                                 {"pull_out", {"tibia"}}};
  if (!judged("rig.kind", "rig.specimen"))
    return;
  const auto &fits = known.at(p_.kind);
  if (std::find(fits.begin(), fits.end(), p_.used_specimen()) == fits.end())
    problem("specimen", "rig.specimen cannot be put into a rig of kind " + p_.kind, p_.specimen, fmt::format("{}", fmt::join(fits, ", ")));
}

void RigCheck::screw()
{
  if (p_.kind != "pull_out" || !judged("rig.screw", "screws.holes") || !judged("screws.proximal_x_mm", "screws.distal_z_mm"))
    return;
  const int n = int(s_.screws.proximal_x_mm.size() + s_.screws.distal_z_mm.size());
  if (p_.screw > n)
    problem("screw", "rig.screw is not a hole of the plate", std::to_string(p_.screw), fmt::format("1 to {}", n));
  else if (const auto &holes = s_.screws.holes; (int(holes.size()) == n || holes.size() == 1) && per_hole(holes, p_.screw - 1) == "none")
    problem("screw", "rig.screw is a hole without a screw (screws.holes)", std::to_string(p_.screw), "a hole that holds a screw");
  if (!s_.repair.has("levelling") && judged("repair.kind", ""))
    problem("kind", "rig.kind pull_out needs screws: repair.kind levelling", p_.kind, "axial or tendon_pull without repair");
}

void RigCheck::sizes()
{
  if (judged("rig.force_n", "rig.force_low_n") && p_.kind == "axial" && p_.force_low_n >= p_.force_n)
    problem("force_low_n", "rig.force_low_n is not below rig.force_n", fmt::format("{:g}", p_.force_low_n),
            fmt::format("below {:g} (N)", p_.force_n));
  if (p_.used_specimen() == "tubes" && judged("rig.tube_outer_mm", "rig.tube_inner_mm") && p_.tube_inner_mm > p_.tube_outer_mm - 1)
    problem("tube_inner_mm", "rig.tube_inner_mm leaves no wall", fmt::format("{:g}", p_.tube_inner_mm),
            fmt::format("at most rig.tube_outer_mm - 1, {:g} (mm)", p_.tube_outer_mm - 1));
}

void RigCheck::straight_plate()
{
  if (p_.used_specimen() == "tibia" || !judged("rig.screws_mm", "rig.open_holes_mm"))
    return;
  std::vector<double> all = p_.screws_mm;
  all.insert(all.end(), p_.open_holes_mm.begin(), p_.open_holes_mm.end());
  std::sort(all.begin(), all.end());
  const double least = s_.screws.major_mm + 1;
  for (std::size_t i = 1; i < all.size(); ++i)
    if (all[i] - all[i - 1] < least)
      problem("screws_mm", "rig.screws_mm and rig.open_holes_mm: two holes run into each other",
              fmt::format("{:g} and {:g}", all[i - 1], all[i]), fmt::format("at least screws.major_mm + 1, {:g} (mm) apart", least));
  const bool proximal = std::any_of(p_.screws_mm.begin(), p_.screws_mm.end(), [](double z) { return z > 0; }),
             distal = std::any_of(p_.screws_mm.begin(), p_.screws_mm.end(), [](double z) { return z < 0; });
  if (p_.used_specimen() == "tubes" && !(proximal && distal))
    problem("screws_mm", "rig.screws_mm leaves a tube without a screw", fmt::format("[{}]", fmt::join(p_.screws_mm, ", ")),
            "a place above 0 and one below 0 (mm)");
}
} // namespace

void check_rig(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
{
  if (!scenario.rig.on() || failed.count("rig.kind"))
    return;
  RigCheck check(reader, scenario, failed);
  check.specimen();
  check.screw();
  check.sizes();
  check.straight_plate();
}
} // namespace stifle
