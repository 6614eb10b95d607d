// models/core/check_user_files.h - keys that only make sense beside a file of the user (STL bones, STEP plate)
//   in      as models/core/check_scenario.h
#pragma once
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"
#include <set>

namespace stifle
{
void check_user_files(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed);
} // namespace stifle
