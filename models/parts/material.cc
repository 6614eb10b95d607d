#include "models/parts/material.h"

#include "models/core/files.h"
#include "models/core/nearest.h"
#include "models/core/yaml_node.h"

namespace stifle
{
namespace
{
const char *const material_file = "models/parts/materials.yaml";

struct Property
{
  double value = 0;  ///< 0: not given
  double spread = 0; ///< relative; of a property that has one
  std::string label, reference;
};

Property read_property(YamlReader &reader, const YamlNode &material, const std::string &path, const std::string &key,
                       const Range &range, bool with_spread = false)
{
  Property property;
  const YamlNode *node = material.find(key);
  std::vector<std::string> keys = {"value", "label", "reference"};
  if (with_spread)
    keys.push_back("spread");
  if (node == nullptr || !reader.check_mapping(*node, path + "." + key, keys, keys))
    return property;
  if (const YamlNode *spread = node->find("spread"))
    property.spread = reader.number(*spread, path + "." + key + ".spread", {0, 1, ""}).value_or(0);
  if (const YamlNode *value = node->find("value"))
    property.value = reader.number(*value, path + "." + key + ".value", range).value_or(0);
  if (const YamlNode *label = node->find("label"))
    property.label = reader.word(*label, path + "." + key + ".label").value_or("");
  if (const YamlNode *reference = node->find("reference"))
    property.reference = reader.word(*reference, path + "." + key + ".reference").value_or("");
  return property;
}

Material read_material(YamlReader &reader, const std::string &name, const YamlNode &node)
{
  Material material;
  material.name = name;
  if (!reader.check_mapping(node, name, {"modulus_mpa", "poisson_ratio", "yield_mpa", "ultimate_mpa", "fatigue_limit_mpa"},
                            {"modulus_mpa", "poisson_ratio"}))
    return material;
  const Property modulus = read_property(reader, node, name, "modulus_mpa", {1e-3, 1e6, "MPa"});
  const Property poisson = read_property(reader, node, name, "poisson_ratio", {0, 0.4999, ""});
  const Property yield = read_property(reader, node, name, "yield_mpa", {1e-3, 1e4, "MPa"});
  const Property ultimate = read_property(reader, node, name, "ultimate_mpa", {1e-3, 1e4, "MPa"});
  const Property fatigue = read_property(reader, node, name, "fatigue_limit_mpa", {1e-3, 1e4, "MPa"}, true);
  material.fatigue_limit_mpa = fatigue.value;
  material.fatigue_limit_spread = fatigue.spread;
  material.fatigue_label = fatigue.label;
  material.fatigue_source = fatigue.reference;
  material.modulus_mpa = modulus.value;
  material.poisson_ratio = poisson.value;
  material.yield_mpa = yield.value;
  material.ultimate_mpa = ultimate.value;
  // The label of the number a margin rests on; the text names every number.
  material.label = yield.value > 0 ? yield.label : modulus.label;
  for (const auto &[what, property] : {std::pair<const char *, Property>{"yield", yield},
                                       {"ultimate", ultimate},
                                       {"modulus", modulus},
                                       {"Poisson ratio", poisson}})
    if (property.value > 0)
      material.source +=
          (material.source.empty() ? "" : "; ") + std::string(what) + ": " + property.reference + " (" + property.label + ")";
  return material;
}
} // namespace

std::vector<Material> read_materials(const std::string &file)
{
  YamlReader reader(file);
  std::vector<Material> materials;
  std::vector<std::string> names; // free words, so only repeats are wrong
  for (const YamlNode &key : reader.root().keys)
    names.push_back(key.text);
  if (reader.check_mapping(reader.root(), "", names))
    for (std::size_t i = 0; i < reader.root().items.size(); ++i)
      materials.push_back(read_material(reader, names[i], reader.root().items[i]));
  reader.finish();
  return materials;
}

namespace
{
const std::vector<Material> &shipped_materials()
{
  static const std::vector<Material> materials = read_materials(data_file(material_file));
  return materials;
}
} // namespace

std::vector<std::string> material_names()
{
  std::vector<std::string> names;
  for (const Material &material : shipped_materials())
    names.push_back(material.name);
  return names;
}

Material find_material(const std::string &name)
{
  for (const Material &material : shipped_materials())
    if (material.name == name)
      return material;
  InputProblem problem;
  problem.file = material_file;
  problem.message = "there is no material of that name";
  problem.found = name;
  problem.allowed = join(material_names());
  problem.nearest = nearest_word(name, material_names());
  throw InputError({problem});
}
} // namespace stifle
