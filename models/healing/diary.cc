#include "models/healing/diary.h"

#include "models/core/files.h"
#include "models/core/nearest.h"
#include "models/core/yaml_node.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
const Range week_range{0, 520, "weeks"}, count_range{0, 100000, "loadings a day"}, share_range{0, 2, ""};

template <class T> std::vector<std::string> names_of(const std::vector<T> &list)
{
  std::vector<std::string> names;
  for (const T &item : list)
    names.push_back(item.name);
  return names;
}

class DiaryReader
{
public:
  DiaryReader(const std::string &file, const std::vector<std::string> &activities)
      : reader_(file, "healing"), activities_(activities)
  {
  }

  DiaryFile read()
  {
    DiaryFile file;
    if (reader_.check_mapping(reader_.root(), "", {"diaries", "limb_use"}, {"diaries"}))
    {
      each(reader_.root().find("diaries"), "diaries", {},
           [&](const std::string &name, const YamlNode &node, const std::string &path)
           { file.diaries.push_back(read_diary(name, node, path)); });
      each(reader_.root().find("limb_use"), "limb_use", {},
           [&](const std::string &name, const YamlNode &node, const std::string &path)
           {
             LimbUse use;
             use.name = name;
             use.share = read_table(node, path, "share", share_range, use.label, use.source);
             file.limb_uses.push_back(use);
           });
    }
    reader_.finish();
    const auto names = file.limb_use_names();
    if (std::find(names.begin(), names.end(), "full") == names.end())
      file.limb_uses.push_back({"full", "assumption", "the limb is loaded as before the injury", {{0}, {1}}});
    return file;
  }

private:
  template <class Take>
  void each(const YamlNode *node, const std::string &path, const std::vector<std::string> &known, const Take &take)
  {
    if (node == nullptr)
      return;
    std::vector<std::string> names;
    for (const YamlNode &key : node->keys)
      names.push_back(key.text);
    if (node->kind == YamlNode::Kind::mapping && names.empty())
      reader_.problem(*node, path + " holds no table", "", "at least one");
    if (reader_.check_mapping(*node, path, known.empty() ? names : known))
      for (std::size_t i = 0; i < names.size(); ++i)
        take(names[i], node->items[i], path + "." + names[i]);
  }

  Diary read_diary(const std::string &name, const YamlNode &node, const std::string &path)
  {
    Diary diary;
    diary.name = name;
    each(&node, path, activities_,
         [&](const std::string &activity, const YamlNode &item, const std::string &here)
         {
           ActivityCount count;
           count.activity = activity;
           count.per_day = read_table(item, here, "per_day", count_range, count.label, count.source);
           diary.counts.push_back(count);
         });
    return diary;
  }

  WeekTable read_table(const YamlNode &node, const std::string &path, const std::string &column, const Range &range,
                       std::string &label, std::string &source)
  {
    WeekTable table;
    if (!reader_.check_mapping(node, path, {"label", "source", "rows"}, {"label", "source", "rows"}))
      return table;
    if (const YamlNode *word = node.find("label"))
      label = reader_.word(*word, path + ".label", label_words()).value_or("");
    if (const YamlNode *text = node.find("source"))
      source = reader_.word(*text, path + ".source").value_or("");
    const YamlNode *rows = node.find("rows");
    if (rows == nullptr || !reader_.check_list(*rows, path + ".rows", 1, 600))
      return table;
    for (std::size_t i = 0; i < rows->items.size(); ++i)
      read_row(rows->items[i], fmt::format("{}.rows[{}]", path, i), column, range, table);
    return table;
  }

  void read_row(const YamlNode &row, const std::string &path, const std::string &column, const Range &range, WeekTable &table)
  {
    if (!reader_.check_mapping(row, path, {"week", column}, {"week", column}))
      return;
    const YamlNode *week_node = row.find("week"), *value_node = row.find(column);
    if (week_node == nullptr || value_node == nullptr)
      return;
    const auto week = reader_.number(*week_node, path + ".week", week_range);
    const auto value = reader_.number(*value_node, path + "." + column, range);
    if (!week || !value)
      return;
    if (!table.weeks.empty() && *week <= table.weeks.back())
      reader_.problem(*week_node, path + ".week must rise from row to row", week_node->excerpt(),
                      fmt::format("above {} (the row before)", to_string_exact(table.weeks.back())));
    table.weeks.push_back(*week);
    table.values.push_back(*value);
  }

  YamlReader reader_;
  std::vector<std::string> activities_;
};

/// The table of that name; the scenario was checked, so it is there.
template <class T> T named(const std::vector<T> &list, const std::string &name, const std::string &key)
{
  for (const T &item : list)
    if (item.name == name)
      return item;
  throw Error(fmt::format("{}: there is no table named {}", key, name));
}

DiaryFile file_of(const Scenario &scenario)
{
  return read_diaries(scenario.healing.diary_table ? *scenario.healing.diary_table : data_file("models/healing/diary.yaml"));
}
} // namespace

double WeekTable::at(double week) const
{
  if (!std::isfinite(week) || week < 0)
    throw Error(fmt::format("diary: the week must be finite and at least 0, not {}", week));
  if (weeks.empty() || weeks.size() != values.size())
    throw Error("diary: a table needs one value for each week");
  if (week <= weeks.front())
    return values.front();
  for (std::size_t i = 1; i < weeks.size(); ++i)
    if (week <= weeks[i])
      return values[i - 1] + (values[i] - values[i - 1]) * (week - weeks[i - 1]) / (weeks[i] - weeks[i - 1]);
  return values.back();
}

const ActivityCount *Diary::find(const std::string &activity) const
{
  for (const ActivityCount &count : counts)
    if (count.activity == activity)
      return &count;
  return nullptr;
}

double Diary::loadings_per_day(const std::string &activity, double week) const
{
  const ActivityCount *count = find(activity);
  return count == nullptr ? 0 : count->per_day.at(week);
}

std::vector<std::string> DiaryFile::diary_names() const { return names_of(diaries); }
std::vector<std::string> DiaryFile::limb_use_names() const { return names_of(limb_uses); }

DiaryFile read_diaries(const std::string &file, const std::vector<std::string> &activities)
{
  return DiaryReader(file, activities).read();
}

Diary diary_of(const Scenario &scenario) { return named(file_of(scenario).diaries, scenario.healing.diary, "healing.diary"); }

LimbUse limb_use_of(const Scenario &scenario)
{
  return named(file_of(scenario).limb_uses, scenario.healing.limb_use, "healing.limb_use");
}
} // namespace stifle
