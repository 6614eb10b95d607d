#include "models/parts/material.h"

#include "models/core/files.h"
#include "models/core/nearest.h"
#include "models/core/yaml_node.h"

#include <algorithm>
#include <cmath>

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

bool has_all(const std::vector<Property> &properties)
{
  return std::all_of(properties.begin(), properties.end(), [](const Property &p) { return p.value != 0; });
}

/// The stored energy must be above 0 for every strain: leading minors of the normalised 3 x 3 compliance.
bool stores_energy(const Orthotropic &o)
{
  const auto mean = [&](int i, int j, int pair) {
    return -0.5 * (o.poisson_ratio[pair] / o.modulus_mpa[i] + o.poisson_ratio_back[pair] / o.modulus_mpa[j]) *
           std::sqrt(o.modulus_mpa[i] * o.modulus_mpa[j]);
  };
  const double a = mean(0, 1, 0), b = mean(0, 2, 1), c = mean(1, 2, 2);
  return a * a < 1 && b * b < 1 && c * c < 1 && 1 + 2 * a * b * c - a * a - b * b - c * c > 0;
}

std::optional<Orthotropic> read_orthotropic(YamlReader &reader, const std::string &name, const YamlNode &material)
{
  const YamlNode *node = material.find("orthotropic");
  const std::vector<std::string> keys = {"e1_mpa", "e2_mpa", "e3_mpa", "g12_mpa", "g13_mpa", "g23_mpa",
                                         "nu12",   "nu13",   "nu23",   "nu21",    "nu31",    "nu32"};
  const std::string path = name + ".orthotropic";
  if (node == nullptr || !reader.check_mapping(*node, path, keys, keys))
    return {};
  std::vector<Property> p;
  for (const std::string &key : keys)
    p.push_back(read_property(reader, *node, path, key, key[0] == 'n' ? Range{1e-3, 2, ""} : Range{1e-3, 1e6, "MPa"}));
  if (!has_all(p)) // told by their own reader
    return {};
  Orthotropic o;
  for (int i = 0; i < 3; ++i)
  {
    o.modulus_mpa[i] = p[i].value;
    o.shear_mpa[i] = p[3 + i].value;
    o.poisson_ratio[i] = p[6 + i].value;
    o.poisson_ratio_back[i] = p[9 + i].value;
  }
  o.label = p[0].label;
  o.source = p[0].reference;
  if (!stores_energy(o))
    reader.problem(*node, path + ": these constants give energy away under some strain",
                   "Poisson ratios too large for the moduli", "a positive definite law");
  return o;
}

std::optional<ModulusLevels> read_levels(YamlReader &reader, const std::string &name, const YamlNode &material)
{
  const YamlNode *node = material.find("modulus_by_depth");
  const std::string path = name + ".modulus_by_depth";
  if (node == nullptr || !reader.check_mapping(*node, path, {"top_mpa", "third_mpa"}, {"top_mpa", "third_mpa"}))
    return {};
  const Property top = read_property(reader, *node, path, "top_mpa", {1e-3, 1e6, "MPa"}),
                 third = read_property(reader, *node, path, "third_mpa", {1e-3, 1e6, "MPa"});
  if (!has_all({top, third}))
    return {};
  return ModulusLevels{top.value, third.value, top.label, top.reference};
}

Material read_material(YamlReader &reader, const std::string &name, const YamlNode &node)
{
  Material material;
  material.name = name;
  if (!reader.check_mapping(node, name,
                            {"modulus_mpa", "poisson_ratio", "yield_mpa", "ultimate_mpa", "fatigue_limit_mpa", "orthotropic",
                             "modulus_by_depth"},
                            {"modulus_mpa", "poisson_ratio"}))
    return material;
  const Property modulus = read_property(reader, node, name, "modulus_mpa", {1e-3, 1e6, "MPa"});
  const Property poisson = read_property(reader, node, name, "poisson_ratio", {0, 0.4999, ""});
  const Property yield = read_property(reader, node, name, "yield_mpa", {1e-3, 1e4, "MPa"});
  const Property ultimate = read_property(reader, node, name, "ultimate_mpa", {1e-3, 1e4, "MPa"});
  const Property fatigue = read_property(reader, node, name, "fatigue_limit_mpa", {1e-3, 1e4, "MPa"}, true);
  material.orthotropic = read_orthotropic(reader, name, node);
  material.levels = read_levels(reader, name, node);
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
