// Reads the activity tables. Every problem of the file is collected; a problem stands at the row that causes it.
#include "models/core/files.h"
#include "models/core/yaml_node.h"
#include "models/limb/activities.h"

#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
struct Column
{
  const char *key;
  double ActivityRow::*member;
  Range range;
  bool required = true; ///< otherwise 0 when it is left out
};
// Ranges are wide: they catch slips of unit and sign, not unusual dogs.
const std::vector<Column> columns = {{"percent", &ActivityRow::percent, {0, 100, "% of stance"}},
                                     {"tibia_tilt_deg", &ActivityRow::tibia_tilt_deg, {-60, 120, "deg"}},
                                     {"metatarsus_tilt_deg", &ActivityRow::metatarsus_tilt_deg, {-90, 120, "deg"}},
                                     {"femur_tilt_deg", &ActivityRow::femur_tilt_deg, {-60, 120, "deg"}},
                                     {"force_up_bw", &ActivityRow::force_up_bw, {0, 5, "body weights"}},
                                     {"force_cranial_bw", &ActivityRow::force_cranial_bw, {-2, 2, "body weights"}},
                                     {"centre_of_pressure_mm", &ActivityRow::centre_of_pressure_mm, {-60, 60, "mm"}},
                                     {"force_medial_bw", &ActivityRow::force_medial_bw, {-2, 2, "body weights"}, false},
                                     {"centre_of_pressure_medial_mm",
                                      &ActivityRow::centre_of_pressure_medial_mm,
                                      {-100, 100, "mm"},
                                      false}};

std::vector<std::string> column_names(bool only_required)
{
  std::vector<std::string> names;
  for (const Column &column : columns)
    if (column.required || !only_required)
      names.push_back(column.key);
  return names;
}

/// The name goes into tables and file names.
bool usable_name(const std::string &name)
{
  const auto letter = [](char c) { return c >= 'a' && c <= 'z'; };
  return !name.empty() && name.size() <= 40 && letter(name[0]) &&
         std::all_of(name.begin(), name.end(), [&](char c) { return letter(c) || (c >= '0' && c <= '9') || c == '_'; });
}

class ActivityReader
{
public:
  explicit ActivityReader(const std::string &file) : reader_(file, "limb.activity_table") {}

  std::vector<Activity> read()
  {
    std::vector<Activity> activities;
    if (reader_.check_mapping(reader_.root(), "", {"activities"}, {"activities"}))
      if (const YamlNode *tables = reader_.root().find("activities"))
        activities = read_tables(*tables);
    reader_.finish();
    return activities;
  }

private:
  std::vector<Activity> read_tables(const YamlNode &tables)
  {
    std::vector<Activity> activities;
    std::vector<std::string> names; // free words, so only repeats are wrong
    for (const YamlNode &key : tables.keys)
    {
      names.push_back(key.text);
      if (key.kind == YamlNode::Kind::scalar && !usable_name(key.text))
        reader_.problem(key, "an activity cannot have this name", shown(key.text, 40),
                        "1 to 40 small letters, digits and _, a letter first");
    }
    if (tables.kind == YamlNode::Kind::mapping && tables.items.empty())
      reader_.problem(tables, "activities has no table", "", "at least one activity");
    else if (reader_.check_mapping(tables, "activities", names))
      for (std::size_t i = 0; i < tables.items.size(); ++i)
        activities.push_back(read_activity(names[i], tables.items[i]));
    return activities;
  }

  Activity read_activity(const std::string &name, const YamlNode &node)
  {
    Activity activity;
    activity.name = name;
    const std::string path = "activities." + name;
    if (!reader_.check_mapping(node, path, {"label", "source", "rows"}, {"label", "source", "rows"}))
      return activity;
    if (const YamlNode *label = node.find("label"))
      activity.label = reader_.word(*label, path + ".label", label_words()).value_or("");
    if (const YamlNode *source = node.find("source"))
      activity.source = reader_.word(*source, path + ".source").value_or("");
    if (const YamlNode *rows = node.find("rows"))
      if (reader_.check_list(*rows, path + ".rows", 1, 1000))
        read_rows(*rows, path + ".rows", activity);
    return activity;
  }

  void read_rows(const YamlNode &rows, const std::string &path, Activity &activity)
  {
    std::optional<double> last_percent;
    for (std::size_t i = 0; i < rows.items.size(); ++i)
    {
      const YamlNode &node = rows.items[i];
      const std::string here = fmt::format("{}[{}]", path, i);
      if (!reader_.check_mapping(node, here, column_names(false), column_names(true)))
        continue;
      const auto row = read_row(node, here);
      if (!row)
        continue;
      if (last_percent && row->percent <= *last_percent)
        reader_.problem(*node.find("percent"), here + ".percent must rise from row to row", node.find("percent")->excerpt(),
                        fmt::format("above {} (the row before)", to_string_exact(*last_percent)));
      last_percent = row->percent;
      activity.rows.push_back(*row);
    }
  }

  /// Nothing when a number is missing or wrong; the problem is then already on the list.
  std::optional<ActivityRow> read_row(const YamlNode &node, const std::string &path)
  {
    ActivityRow row;
    bool whole = true;
    for (const Column &column : columns)
    {
      const YamlNode *value = node.find(column.key);
      if (!value && !column.required)
        continue;
      const auto number = value ? reader_.number(*value, path + "." + column.key, column.range) : std::nullopt;
      whole &= number.has_value();
      row.*column.member = number.value_or(0);
    }
    if (!whole)
      return {};
    check_angle(node, path, "stifle angle 180 - tibia_tilt_deg - femur_tilt_deg", 180 - row.tibia_tilt_deg - row.femur_tilt_deg,
                {40, 160, "deg"}); // limits of the stifle: alternatives.md section 6, read
    check_angle(node, path, "hock angle 180 - tibia_tilt_deg - metatarsus_tilt_deg",
                180 - row.tibia_tilt_deg - row.metatarsus_tilt_deg, {40, 180, "deg"});
    return row;
  }

  void check_angle(const YamlNode &node, const std::string &path, const std::string &what, double angle_deg, const Range &range)
  {
    if (angle_deg < range.low || angle_deg > range.high)
      reader_.problem(node, path + ": the " + what + " is out of range", to_string_exact(angle_deg), to_string(range));
  }

  YamlReader reader_;
};
} // namespace

std::vector<Activity> read_activities(const std::string &file) { return ActivityReader(file).read(); }

std::vector<Activity> default_activities() { return read_activities(data_file("models/limb/activities.yaml")); }
} // namespace stifle
