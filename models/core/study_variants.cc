#include "models/core/study_variants.h"
#include "models/core/content_hash.h"
#include "models/core/parameter_list.h"
#include "models/core/read_yaml_tree.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
YamlNode *child(YamlNode &node, const std::string &key)
{
  for (std::size_t i = 0; i < node.keys.size(); ++i)
    if (node.keys[i].text == key)
      return &node.items[i];
  return nullptr;
}

void remove(YamlNode &node, const std::string &key)
{
  for (std::size_t i = 0; i < node.keys.size(); ++i)
    if (node.keys[i].text == key)
    {
      node.keys.erase(node.keys.begin() + std::ptrdiff_t(i));
      node.items.erase(node.items.begin() + std::ptrdiff_t(i));
      return;
    }
}

/// The child of that key, which is added when it is not there. Line and column are those of `like`.
YamlNode &made(YamlNode &node, const std::string &key, const YamlNode &like)
{
  node.kind = YamlNode::Kind::mapping; // a section whose keys are all commented out is null
  if (YamlNode *found = child(node, key))
    return *found;
  YamlNode name;
  name.kind = YamlNode::Kind::scalar;
  name.text = key;
  name.line = like.line, name.column = like.column;
  node.keys.push_back(name);
  node.items.emplace_back();
  node.items.back().line = like.line, node.items.back().column = like.column;
  return node.items.back();
}

void set(YamlNode &root, const std::string &path, const YamlNode &value)
{
  const std::size_t dot     = path.find('.');
  YamlNode         &section = dot == std::string::npos ? root : made(root, path.substr(0, dot), value);
  made(section, dot == std::string::npos ? path : path.substr(dot + 1), value) = value;
}

/// Entries of each varied key that make up a combination: the last key fastest.
std::vector<std::size_t> entries(const VariedKeys &keys, std::size_t combination)
{
  std::vector<std::size_t> chosen(keys.size());
  for (std::size_t k = keys.size(); k-- > 0; combination /= keys[k].values.size())
    chosen[k] = combination % keys[k].values.size();
  return chosen;
}

bool stands_in(const YamlNode &node, int line, int column)
{
  if (node.line == line && node.column == column)
    return true;
  for (const YamlNode &item : node.items)
    if (stands_in(item, line, column))
      return true;
  return false;
}

YamlNode without_study(YamlNode root)
{
  if (YamlNode *study = child(root, "study"))
  {
    remove(*study, "vary");
    remove(*study, "dogs");
  }
  return root;
}

std::string tail_of_name(std::uint64_t values, int dog)
{
  return dog > 0 ? fmt::format("_dog{:04d}-{:016x}", dog, content_hash(fmt::format("study.dog={}\n", dog), values)) : fmt::format("-{:016x}", values);
}

/// Every value but those of the study that `names` adds.
std::uint64_t hash_of_values(const Scenario &scenario)
{
  Scenario                 copy = scenario;
  std::vector<std::string> lines;
  for (const DeclaredKey &key : declared_keys(copy))
    if (key.path() != "study.vary" && key.path() != "study.dogs" && key.path() != "study.dog")
      lines.push_back(key.path() + "=" + value_text(key.value) + "\n");
  std::sort(lines.begin(), lines.end()); // a key declared elsewhere changes no name
  std::uint64_t value = content_hash("");
  for (const std::string &line : lines)
    value = content_hash(line, value);
  return value;
}
} // namespace

Scenario Study::variant(std::size_t number) const
{
  Scenario one = combination(number).scenario;
  if (scenario.study.dogs > 0)
    one.study.dog = dog(number);
  return one;
}

std::vector<std::string> Study::keys() const
{
  std::vector<std::string> paths;
  for (const VariedKey &key : scenario.study.vary)
    paths.push_back(key.path);
  if (scenario.study.dogs > 0)
    paths.push_back("study.dog");
  return paths;
}

std::vector<std::string> Study::values(std::size_t variant) const
{
  std::vector<std::string> all = combination(variant).values;
  if (scenario.study.dogs > 0)
    all.push_back(fmt::format("{}", dog(variant)));
  return all;
}

std::vector<std::string> Study::names() const
{
  std::vector<std::string> all;
  for (const Combination &one : combinations)
  {
    const std::string   head   = fmt::format("{:g}kg_{:g}deg", one.scenario.dog.mass_kg, one.scenario.tibia.plateau_angle_deg);
    const std::uint64_t values = hash_of_values(one.scenario);
    for (std::size_t dog = 1; dog <= dogs_each(); ++dog)
      all.push_back(head + tail_of_name(values, scenario.study.dogs > 0 ? int(dog) : one.scenario.study.dog));
  }
  return all;
}

VariantProblems::VariantProblems(const Study &study) : study_(study)
{
  const YamlNode root = read_yaml_tree(study.file);
  if (const YamlNode *section = root.find("study"))
    if (const YamlNode *vary = section->find("vary"))
      vary_ = *vary;
}

void VariantProblems::add(std::size_t combination, const InputError &error)
{
  const VariedKeys              &keys   = study_.scenario.study.vary;
  const std::vector<std::size_t> chosen = entries(keys, combination);
  std::string                    which;
  for (std::size_t k = 0; k < keys.size(); ++k)
    which += (which.empty() ? "with " : ", ") + keys[k].path + " " + keys[k].values[chosen[k]];
  for (InputProblem problem : error.problems())
  {
    if (problem.file != study_.file || !stands_in(vary_, problem.line, problem.column))
    {
      if (!vary_.items.empty())
      {
        const YamlNode &value = vary_.items.back().items[chosen.back()];
        problem.file = study_.file, problem.line = value.line, problem.column = value.column;
      }
      problem.message = which + (which.empty() ? "" : ": ") + problem.message;
    }
    const auto same = [&](const InputProblem &p) { return p.line == problem.line && p.column == problem.column && p.message == problem.message; };
    if (std::none_of(problems_.begin(), problems_.end(), same))
      problems_.push_back(problem);
  }
}

void VariantProblems::finish() const
{
  if (!problems_.empty())
    throw InputError(problems_);
}

Study read_study(const std::string &file)
{
  Study study{file, read_scenario(file), {}};
  const VariedKeys &keys = study.scenario.study.vary;
  if (keys.empty())
  {
    study.combinations.push_back({study.scenario, {}});
    study.combinations.back().scenario.study.dogs = 0;
    return study;
  }
  std::size_t number = 1;
  for (const VariedKey &key : keys)
    number *= key.values.size();
  const YamlNode  root = read_yaml_tree(file), plain = without_study(root);
  const YamlNode &vary = *root.find("study")->find("vary");
  VariantProblems problems(study);
  for (std::size_t i = 0; i < number; ++i)
  {
    Combination one;
    YamlNode    tree   = plain;
    const auto  chosen = entries(keys, i);
    for (std::size_t k = 0; k < keys.size(); ++k)
    {
      set(tree, keys[k].path, vary.items[k].items[chosen[k]]);
      one.values.push_back(keys[k].values[chosen[k]]);
    }
    try
    {
      YamlReader reader(file, std::move(tree));
      one.scenario = read_scenario(reader);
    }
    catch (const InputError &error)
    {
      problems.add(i, error);
    }
    study.combinations.push_back(std::move(one));
  }
  problems.finish();
  return study;
}
} // namespace stifle
