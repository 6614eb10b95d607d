#include "models/parts/check_materials.h"
#include "models/core/nearest.h"
#include "models/parts/material.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
std::string materials_with_yield()
{
  std::vector<std::string> names;
  for (const std::string &name : material_names())
    if (find_material(name).yield_mpa > 0)
      names.push_back(name);
  return join(names);
}

void yield_is_known(YamlReader &reader, const std::string &section, const std::string &key, const std::string &name)
{
  if (find_material(name).yield_mpa > 0)
    return;
  reader.problem(section, reader.place(section, key),
                 fmt::format("{}.{}: material {} has no yield strength, and its yield margin needs one", section, key, name),
                 fmt::format("{} without yield_mpa in models/parts/materials.yaml", name),
                 "a material with yield_mpa: " + materials_with_yield());
}

void law_has_its_constants(YamlReader &reader, const std::string &key, const std::string &word, const std::string &material,
                           const std::string &entry, bool known)
{
  if (known)
    return;
  reader.problem("tibia", reader.place("tibia", key),
                 fmt::format("tibia.{} {}: material {} has no entry {} in models/parts/materials.yaml", key, word, material, entry), word,
                 fmt::format("another law, or {} with {}", material, entry));
}

void levels_go_down(YamlReader &reader, const std::vector<double> &levels)
{
  if (levels.size() != 2 || levels[0] < levels[1])
    return;
  reader.problem("tibia", reader.place("tibia", "cancellous_levels_mm"),
                 "tibia.cancellous_levels_mm: the third level must lie deeper than the top one",
                 fmt::format("[{}, {}]", levels[0], levels[1]), "two depths, the second larger (mm)");
}
} // namespace

void check_materials(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
{
  const auto judged = [&](const std::string &key) { return failed.count(key) == 0; };
  const bool plated = judged("repair.kind") && scenario.repair.has("levelling");
  if (plated && judged("plate.material"))
    yield_is_known(reader, "plate", "material", scenario.plate.material);
  if (plated && judged("screws.material"))
    yield_is_known(reader, "screws", "material", scenario.screws.material);
  for (const char *bone : {"cortical_bone", "cancellous_bone"})
    yield_is_known(reader, "tibia", "cortex_mm", bone);
  if (judged("tibia.cortex_law") && scenario.tibia.cortex_law == "orthotropic")
    law_has_its_constants(reader, "cortex_law", "orthotropic", "cortical_bone", "orthotropic",
                          find_material("cortical_bone").orthotropic.has_value());
  if (judged("tibia.cancellous_law") && scenario.tibia.cancellous_law == "depth")
    law_has_its_constants(reader, "cancellous_law", "depth", "cancellous_bone", "modulus_by_depth",
                          find_material("cancellous_bone").levels.has_value());
  if (judged("tibia.cancellous_levels_mm"))
    levels_go_down(reader, scenario.tibia.cancellous_levels_mm);
}
} // namespace stifle
