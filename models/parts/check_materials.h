// models/parts/check_materials.h - does every material of the scenario have the numbers that its margins and its law need?
//   problems   no yield strength (plate, screws, bone: the yield margin), no constants for the elastic law asked for,
//              levels of cancellous bone that do not go down; `failed` keys are not judged again
#pragma once
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"
#include <set>

namespace stifle
{
void check_materials(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed);
} // namespace stifle
