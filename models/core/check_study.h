// models/core/check_study.h - the keys of a study: what may be varied, and what cannot be asked for together
//   in      as models/core/check_scenario.h
#pragma once
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"
#include <set>

namespace stifle
{
constexpr std::size_t most_combinations = 10'000; ///< of study.vary: each is read and checked like a scenario

/// study.vary: a mapping of known paths to lists of values; each value is judged when its variant is read.
void read_varied_keys(YamlReader &reader, const YamlNode &node, VariedKeys &target);

void check_study(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed);
} // namespace stifle
