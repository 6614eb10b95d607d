#include "models/parts/screw_size.h"

#include "models/core/files.h"
#include "models/core/nearest.h"
#include "models/core/yaml_node.h"

#include <algorithm>

namespace stifle
{
namespace
{
const char *const screw_file = "models/parts/screws.yaml";
/// From strong to weak.
const std::vector<std::string> labels = {"read", "abstract", "second-hand", "derived", "common practice", "memory", "assumption"};

class ScrewReader
{
public:
  explicit ScrewReader(const std::string &file) : reader_(file) {}

  std::vector<ScrewSize> read()
  {
    std::vector<ScrewSize> sizes;
    std::vector<std::string> names; // free words, so only repeats are wrong
    for (const YamlNode &key : reader_.root().keys)
      names.push_back(key.text);
    if (reader_.check_mapping(reader_.root(), "", names))
      for (std::size_t i = 0; i < names.size(); ++i)
        sizes.push_back(read_size(names[i], reader_.root().items[i]));
    reader_.finish();
    return sizes;
  }

private:
  ScrewSize read_size(const std::string &name, const YamlNode &node)
  {
    ScrewSize size;
    size.name = name;
    const std::vector<std::string> keys = {"locking", "major_mm", "core_mm", "pitch_mm"};
    if (!reader_.check_mapping(node, name, keys, keys))
      return size;
    if (const YamlNode *locking = node.find("locking"))
      size.locking = reader_.yes_or_no(*locking, name + ".locking").value_or(false);
    size.major_mm = read_length(node, "major_mm", size);
    size.core_mm = read_length(node, "core_mm", size);
    size.pitch_mm = read_length(node, "pitch_mm", size);
    if (size.core_mm > 0 && size.major_mm > 0 && size.core_mm >= size.major_mm)
      reader_.problem(*node.find("core_mm"), name + ".core_mm must be smaller than major_mm", to_string_exact(size.core_mm),
                      "below " + to_string_exact(size.major_mm) + " (mm)");
    return size;
  }

  double read_length(const YamlNode &screw, const std::string &key, ScrewSize &size)
  {
    const YamlNode *node = screw.find(key);
    const std::string path = size.name + "." + key;
    if (node == nullptr || !reader_.check_mapping(*node, path, {"value", "label", "reference"}, {"value", "label", "reference"}))
      return 0;
    double length = 0;
    std::string label, reference;
    if (const YamlNode *value = node->find("value"))
      length = reader_.number(*value, path + ".value", {0.1, 20, "mm"}).value_or(0);
    if (const YamlNode *word = node->find("label"))
      label = reader_.word(*word, path + ".label", labels).value_or("");
    if (const YamlNode *text = node->find("reference"))
      reference = reader_.word(*text, path + ".reference").value_or("");
    const auto rank = [](const std::string &word) { return std::find(labels.begin(), labels.end(), word); };
    if (size.label.empty() || rank(label) > rank(size.label))
      size.label = label;
    size.source += (size.source.empty() ? "" : "; ") + key + ": " + reference + " (" + label + ")";
    return length;
  }

  YamlReader reader_;
};

const std::vector<ScrewSize> &shipped_sizes()
{
  static const std::vector<ScrewSize> sizes = read_screw_sizes(data_file(screw_file));
  return sizes;
}
} // namespace

std::vector<ScrewSize> read_screw_sizes(const std::string &file) { return ScrewReader(file).read(); }

std::vector<std::string> screw_size_names()
{
  std::vector<std::string> names;
  for (const ScrewSize &size : shipped_sizes())
    names.push_back(size.name);
  return names;
}

ScrewSize find_screw_size(const std::string &name)
{
  for (const ScrewSize &size : shipped_sizes())
    if (size.name == name)
      return size;
  InputProblem problem;
  problem.file = screw_file;
  problem.message = "there is no screw of that name";
  problem.found = name;
  problem.allowed = join(screw_size_names());
  problem.nearest = nearest_word(name, screw_size_names());
  throw InputError({problem});
}
} // namespace stifle
