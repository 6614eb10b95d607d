// models/core/write_scenario.cc - the writing visitors: echo of used values, commented template, manual, assumptions
#include "models/core/error.h"
#include "models/core/nearest.h"
#include "models/core/parameter_list.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
std::string source_text(const Source &source) { return to_string(source.label) + ": " + source.text; }

/// Who chose a value that is not the default.
std::string chosen_in(const Scenario &scenario, const std::string &path)
{
  const auto &film = scenario.radiograph.replaced;
  return std::find(film.begin(), film.end(), path) == film.end() ? "set in the scenario" : "measured by radiograph.landmarks";
}

/// All keys with the label of what is used: the default's, or the user's own choice.
std::string commented_yaml(const Scenario &scenario, const std::string &header)
{
  Scenario    copy = scenario, defaults;
  const auto  keys = declared_keys(copy), default_keys = declared_keys(defaults);
  std::string text = header, section;
  for (std::size_t i = 0; i < keys.size(); ++i)
  {
    const DeclaredKey &key    = keys[i];
    const std::string  indent = key.section.empty() ? "" : "  ", value = value_text(key.value),
                      default_text = value_text(default_keys[i].value);
    if (key.section.empty())
      text += "\n";
    else if (key.section != section)
      text += fmt::format("\n{}: # {}\n", key.section, key.section_sentence);
    section = key.section;
    const std::string source = value == default_text || key.source.computed
                                   ? source_text(key.source)
                                   : fmt::format("{}; default {} is {}", chosen_in(scenario, key.path()), default_text, source_text(key.source));
    text += fmt::format("{0}# {1} Allowed: {2}.\n{0}# [{3}]\n{0}{4}: {5}\n", indent, key.sentence, allowed_text(key), source,
                        key.key, value);
  }
  return text;
}

std::string manual_line(const DeclaredKey &key)
{
  return fmt::format("{}: {} | {} | {} | {}\n", key.path(), value_text(key.value), allowed_text(key), key.sentence,
                     source_text(key.source));
}
} // namespace

std::string echo_scenario(const Scenario &scenario)
{
  return commented_yaml(scenario, "# scenario.yaml - every value used; `stifle run` takes this file back\n"
                                  "#   above each value its meaning, what is allowed, and [label: source]\n");
}

std::string template_scenario()
{
  return commented_yaml(Scenario(),
                        "# my_dog.yaml - one dog, one operation\n"
                        "#   question   what do thrust, plate, screws and bone see at each plateau slope?\n"
                        "#   check      stifle check my_dog.yaml\n"
                        "#   run        stifle run my_dog.yaml --out out/my_dog\n"
                        "#   every key is optional: a key that is left out keeps the default written here\n"
                        "#   limits     teaching and research; not a medical device, not for decisions on a patient\n");
}

std::string describe_keys(const std::string &path)
{
  Scenario                 defaults;
  std::string              text;
  std::vector<std::string> known;
  for (const DeclaredKey &key : declared_keys(defaults))
  {
    if (path.empty() || path == key.section || path == key.path())
      text += manual_line(key);
    if (!key.section.empty() && std::find(known.begin(), known.end(), key.section) == known.end())
      known.push_back(key.section);
    known.push_back(key.path());
  }
  if (!text.empty())
    return text;
  std::vector<std::string> top;
  std::copy_if(known.begin(), known.end(), std::back_inserter(top),
               [](const std::string &word) { return word.find('.') == std::string::npos; });
  throw InputError({InputProblem{"stifle keys", 0, 0, "unknown key '" + shown(path, 60) + "'", path,
                                 join(top) + ", or section.key", nearest_word(path, known), ""}});
}

std::vector<AssumptionRow> list_assumptions(const Scenario &scenario)
{
  Scenario                   copy = scenario, defaults;
  const auto                 keys = declared_keys(copy), default_keys = declared_keys(defaults);
  std::vector<AssumptionRow> rows;
  for (std::size_t i = 0; i < keys.size(); ++i)
  {
    const std::string default_text = value_text(default_keys[i].value);
    if (value_text(keys[i].value) == default_text || keys[i].source.computed)
      rows.push_back({keys[i].path(), to_string(keys[i].source.label), keys[i].source.text});
    else
      rows.push_back({keys[i].path(), chosen_in(scenario, keys[i].path()),
                      fmt::format("{}; default {} ({})", value_text(keys[i].value), default_text, source_text(keys[i].source))});
  }
  return rows;
}
} // namespace stifle
