// models/core/read_yaml_tree.h - bytes of a YAML file to a tree of YamlNode; the only place that calls yaml-cpp
//   errors  InputError: unreadable, directory, empty, too large, not UTF-8, broken YAML, anchors, aliases, tags,
//           more than one document. One problem a call: after broken YAML nothing else can be trusted.
#pragma once
#include "models/core/yaml_node.h"

namespace stifle
{
YamlNode read_yaml_tree(const std::string &file);
YamlNode parse_yaml_tree(const std::string &file, const std::string &content);
} // namespace stifle
