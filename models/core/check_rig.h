// models/core/check_rig.h - combinations inside `rig` that cannot be; each problem at the place of its key
#pragma once
#include "models/core/yaml_node.h"
#include "models/core/scenario.h"
#include <set>

namespace stifle
{
/// `failed`: keys that are already refused (full names); nothing is judged by them.
void check_rig(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed);
} // namespace stifle
