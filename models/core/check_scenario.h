// models/core/check_scenario.h - what no single key can say: combinations of values and the activity table
//   in      the values read so far; `failed` keys (paths) already have a problem of their own and are not judged again
#pragma once
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"
#include <set>

namespace stifle
{
void check_scenario(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed);
} // namespace stifle
