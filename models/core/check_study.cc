#include "models/core/check_study.h"
#include "models/core/nearest.h"
#include "models/core/parameter_list.h"
#include <algorithm>
#include <fmt/format.h>
#include <regex>

namespace stifle
{
namespace
{
/// On one line, such that it reads back to the same node.
std::string flow_text(const YamlNode &node)
{
  static const std::regex plain("[A-Za-z0-9_.+-]+");
  if (node.kind == YamlNode::Kind::null)
    return "null";
  if (node.kind == YamlNode::Kind::scalar)
    return !node.quoted && std::regex_match(node.text, plain) ? node.text : yaml_quoted(node.text);
  std::string items;
  for (const YamlNode &item : node.items)
    items += (items.empty() ? "" : ", ") + flow_text(item);
  return "[" + items + "]";
}

std::vector<std::string> paths_to_vary()
{
  Scenario                 any;
  std::vector<std::string> paths;
  for (const DeclaredKey &key : declared_keys(any))
    if (key.path() != "study.vary" && key.path() != "study.dogs" && key.path() != "study.dog")
      paths.push_back(key.path());
  return paths;
}

VariedKey read_entry(YamlReader &reader, const std::string &path, const YamlNode &list)
{
  VariedKey key{path, {}};
  for (const YamlNode &item : list.items)
  {
    const std::string text = flow_text(item);
    if (item.kind == YamlNode::Kind::mapping)
      reader.problem(item, "study.vary: a value of " + path + " is a mapping", item.excerpt(), "what `stifle keys " + path + "` allows");
    else if (std::find(key.values.begin(), key.values.end(), text) != key.values.end())
      reader.problem(item, "study.vary: " + path + " takes the same value twice", item.excerpt(), "each value once");
    else
      key.values.push_back(text);
  }
  return key;
}
} // namespace

void read_varied_keys(YamlReader &reader, const YamlNode &node, VariedKeys &target)
{
  const std::vector<std::string> known = paths_to_vary();
  VariedKeys                     keys;
  if (node.kind == YamlNode::Kind::mapping)
    for (std::size_t i = 0; i < node.keys.size(); ++i)
    {
      const std::string &path = node.keys[i].text;
      const auto         same = [&](const VariedKey &key) { return key.path == path; };
      if (std::find(known.begin(), known.end(), path) == known.end())
        reader.problem(node.keys[i], "study.vary: unknown key '" + shown(path, 60) + "'", path, "a key of a scenario but vary, dogs and dog of study",
                       nearest_word(path, known));
      else if (std::any_of(keys.begin(), keys.end(), same))
        reader.problem(node.keys[i], "study.vary: " + path + " stands twice", path, "each key once");
      else if (reader.check_list(node.items[i], "study.vary: " + path, 1, most_combinations))
        keys.push_back(read_entry(reader, path, node.items[i]));
    }
  else
    reader.problem(node, "study.vary must be a mapping of keys to lists of values", node.excerpt(), "such as {dog.mass_kg: [20, 30]}");
  target = keys;
}

void check_study(YamlReader &reader, const Scenario &scenario, const std::set<std::string> &failed)
{
  const StudyParameters &study = scenario.study;
  const auto refuse = [&](const std::string &key, const std::string &message, const std::string &found, const std::string &allowed)
  {
    if (failed.count("study." + key) == 0)
      reader.problem("study", reader.place("study", key), message, found, allowed);
  };
  double combinations = 1;
  for (const VariedKey &key : study.vary)
    combinations *= double(key.values.size());
  if (combinations > double(most_combinations))
    refuse("vary", "study.vary has too many combinations", fmt::format("{:.0f}", combinations), fmt::format("at most {}", most_combinations));
  if (study.dogs > 0 && study.dog > 0)
    refuse("dog", "study.dog picks one drawn dog where study.dogs asks for all", fmt::format("{}", study.dog), "0, or study.dogs: 0");
  if ((study.dogs > 0 || study.dog > 0) && study.samples > 0)
    refuse("samples", "study.samples spreads one dog; a drawn dog has no spread of its own", fmt::format("{}", study.samples),
           "0, or study.dogs: 0 and study.dog: 0");
  if ((study.expands() || study.dog > 0) && scenario.rig.on())
    refuse(study.vary.empty() ? (study.dogs > 0 ? "dogs" : "dog") : "vary", "a rig cannot be varied in this version", scenario.rig.kind,
           "rig.kind: none, or a scenario for each rig");
}
} // namespace stifle
