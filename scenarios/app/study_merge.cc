#include "scenarios/app/study_merge.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/stages.h"
#include "scenarios/app/store.h"
#include "scenarios/app/versions.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <unistd.h>

namespace stifle::app
{
namespace
{
namespace fs = std::filesystem;

/// One line of a table, cells quoted where they must be.
std::string csv_line(const std::vector<std::string> &cells) { return Table(cells).csv(); }

/// A table too large for memory: written beside its place, renamed when it is whole.
class GrowingTable
{
public:
  explicit GrowingTable(const std::string &path) : path_(path), beside_(fmt::format("{}.tmp.{}.{}", path, host_name(), ::getpid())) {}
  ~GrowingTable()
  {
    std::error_code error;
    fs::remove(beside_, error);
  }
  GrowingTable(const GrowingTable &) = delete;
  GrowingTable &operator=(const GrowingTable &) = delete;

  /// The rows of a table with `more` at the end of each line; of the first one the header too, with `columns`.
  void add(const std::string &csv, const std::string &columns, const std::string &more)
  {
    bool quoted = false, header = true;
    for (std::size_t start = 0, i = 0; i < csv.size(); ++i)
    {
      quoted = quoted != (csv[i] == '"');
      if (csv[i] != '\n' || quoted)
        continue;
      if (!header || !file_.is_open())
        line(csv.substr(start, i - start) + "," + (header ? columns : more));
      header = false;
      start  = i + 1;
    }
  }

  void line(const std::string &text)
  {
    if (!file_.is_open())
      file_.open(beside_, std::ios::binary);
    file_ << text;
    if (!file_)
      throw Error("cannot write " + beside_);
  }

  void finish()
  {
    if (!file_.is_open())
      return;
    file_.close();
    if (!file_)
      throw Error("cannot write " + beside_);
    fs::rename(beside_, path_);
  }

private:
  std::string   path_, beside_;
  std::ofstream file_;
};

struct Line ///< of study.csv
{
  std::size_t              variant = 0, failed = 0;
  NeutralAngles            neutral;
  std::optional<MarginRow> least;
};

std::optional<MarginRow> least_of(const std::vector<MarginRow> &margins)
{
  std::optional<MarginRow> least;
  for (const MarginRow &row : margins)
    if (row.margin && (!least || *row.margin < *least->margin))
      least = row;
  return least;
}

using Angles = std::vector<std::pair<std::string, std::optional<double>>>;

/// Names over all variants, in the order in which they first come.
std::vector<std::string> names_of(const std::vector<Line> &lines, Angles NeutralAngles::*which)
{
  std::vector<std::string> names;
  for (const Line &line : lines)
    for (const auto &[name, angle] : line.neutral.*which)
      if (std::find(names.begin(), names.end(), name) == names.end())
        names.push_back(name);
  return names;
}

void add_angles(Table &table, const Angles &angles, const std::vector<std::string> &names)
{
  for (const std::string &name : names)
  {
    const auto found = std::find_if(angles.begin(), angles.end(), [&](const auto &entry) { return entry.first == name; });
    if (found != angles.end() && found->second)
      table.add(*found->second);
    else
      table.add_empty();
  }
}

void add_least(Table &table, const std::optional<MarginRow> &least)
{
  if (!least)
  {
    for (int i = 0; i < 8; ++i)
      table.add_empty();
    return;
  }
  table.add(*least->margin);
  for (const std::string *text : {&least->verdict, &least->part, &least->mode, &least->activity})
    table.add(*text);
  table.add(least->week);
  table.add(std::string(least->operated ? "true" : "false"));
  table.add(least->plateau_angle_target_deg);
}

std::string line_of_text(const Study &study, const Line &line)
{
  std::string text;
  const auto  keys = study.keys(), values = study.values(line.variant);
  for (std::size_t k = 0; k < keys.size(); ++k)
    text += (k > 0 ? ", " : "") + keys[k] + " " + values[k];
  for (const auto &[activity, angle] : line.neutral.by_activity)
    if (activity == "walk" || line.neutral.by_activity.size() == 1)
      text += "; neutral slope (" + activity + ") " + (angle ? fmt::format("{:.1f} deg", *angle) : "none");
  if (line.least)
    text += fmt::format("; least margin {:.2f} ({}, {}, {})", *line.least->margin, line.least->part, line.least->mode, line.least->activity);
  return text + (line.failed > 0 ? fmt::format("; {} FAILED", line.failed) : "") + "\n";
}

class Merger
{
public:
  Merger(const Study &study, const StudyCases &cases, const std::string &folder, bool only_joint)
    : study_(study), cases_(cases), folder_(folder), only_joint_(only_joint), dogs_(folder + "/dogs.csv")
  {
    std::vector<std::string> columns = study.keys();
    columns.insert(columns.begin(), "variant");
    columns_ = csv_line(columns);
    for (const std::vector<std::string> *names : {&joint_tables(), only_joint ? nullptr : &construct_tables()})
      for (std::size_t i = 0; names && i < names->size(); ++i)
        tables_.emplace_back(std::make_unique<GrowingTable>(folder + "/" + (*names)[i]), (*names)[i]);
  }

  MergedStudy all()
  {
    Stage stage("merge", double(study_.size()));
    for (std::size_t v = 0; v < study_.size(); ++v)
    {
      stop_if_interrupted();
      variant(v);
      stage.add(1);
    }
    for (auto &[table, name] : tables_)
      table->finish();
    dogs_.finish();
    write_file(folder_ + "/study.csv", study_csv());
    write_summary_file();
    stage.end(fmt::format("{} variants in one folder", study_.size()));
    return merged();
  }

private:
  void variant(std::size_t v)
  {
    const VariantPlan   plan   = cases_.plan(v);
    const VariantResult result = cases_.result(v, plan);
    const std::string   folder = cases_.folder(v);
    if (!only_joint_)
      write_construct_tables(folder, result.judged);
    write_summary(folder, plan.written, result.joint.neutral, result.judged, {});
    std::vector<std::string> cells = study_.values(v);
    cells.insert(cells.begin(), cases_.variant_name(v));
    const std::string more = csv_line(cells);
    for (auto &[table, name] : tables_)
    {
      const bool of_joint = std::find(joint_tables().begin(), joint_tables().end(), name) != joint_tables().end();
      if (fs::exists(folder + "/" + name) && !(of_joint && !result.joint.error.empty()))
        table->add(read_file(folder + "/" + name), columns_, more);
    }
    add_dog(v, plan.dog);
    add_line(v, result);
  }

  void add_dog(std::size_t v, const OneDog &dog)
  {
    if (dog.drawn.empty())
      return;
    Table table({"variant", "study.dog", "input", "unit", "value"});
    for (const DrawnValue &drawn : dog.drawn)
    {
      table.begin_row();
      table.add(cases_.variant_name(v));
      table.add(double(dog.scenario.study.dog));
      table.add(drawn.input);
      table.add(drawn.unit);
      table.add(drawn.value);
    }
    const std::string text = table.csv();
    dogs_.line(v > 0 ? text.substr(text.find('\n') + 1) : text);
  }

  void add_line(std::size_t v, const VariantResult &result)
  {
    Line line;
    line.variant = v;
    line.neutral = result.joint.neutral;
    line.least   = least_of(result.judged.margins);
    line.failed  = !result.joint.error.empty();
    nlohmann::ordered_json entry = {{"variant", cases_.variant_name(v)}};
    const auto keys = study_.keys(), values = study_.values(v);
    for (std::size_t k = 0; k < keys.size(); ++k)
      entry["values"][keys[k]] = values[k];
    entry.update(headline_json(result.joint.neutral, result.judged));
    if (!result.joint.error.empty())
      entry["joint_error"] = result.joint.error;
    if (const auto errors = errors_json(result.judged.slopes); !errors.empty())
    {
      entry["errors"] = errors;
      line.failed += errors.size();
    }
    summary_.push_back(entry);
    lines_.push_back(line);
  }

  std::string study_csv() const
  {
    const auto               sets = names_of(lines_, &NeutralAngles::by_load_set), activities = names_of(lines_, &NeutralAngles::by_activity);
    std::vector<std::string> columns = study_.keys();
    columns.insert(columns.begin(), "variant");
    for (const std::string &set : sets)
      columns.push_back("neutral_" + set + "_deg");
    for (const std::string &activity : activities)
      columns.push_back("neutral_in_" + activity + "_deg");
    for (const char *name : {"least_margin", "verdict", "part", "mode", "activity", "week", "operated", "plateau_angle_target_deg", "failed"})
      columns.push_back(name);
    Table table(columns);
    for (const Line &line : lines_)
    {
      table.begin_row();
      table.add(cases_.variant_name(line.variant));
      for (const std::string &value : study_.values(line.variant))
        table.add(value);
      add_angles(table, line.neutral.by_load_set, sets);
      add_angles(table, line.neutral.by_activity, activities);
      add_least(table, line.least);
      table.add(double(line.failed));
    }
    return table.csv();
  }

  /// Without times and memory: those are in the logs, and differ from run to run.
  void write_summary_file() const
  {
    nlohmann::ordered_json summary;
    summary["caution"]  = caution();
    summary["variants"] = summary_;
    add_origin(summary, study_.scenario);
    write_file(folder_ + "/summary.json", summary.dump(2) + "\n");
  }

  MergedStudy merged() const
  {
    MergedStudy           merged;
    constexpr std::size_t shown_lines = 12;
    for (const Line &line : lines_)
    {
      merged.failed += line.failed;
      if (line.least)
        merged.least.push_back(*line.least);
      if (line.variant < shown_lines)
        merged.table += line_of_text(study_, line);
    }
    if (lines_.size() > shown_lines)
      merged.table += fmt::format("... and {} more in study.csv\n", lines_.size() - shown_lines);
    return merged;
  }

  const Study                                                       &study_;
  const StudyCases                                                  &cases_;
  std::string                                                        folder_, columns_;
  bool                                                               only_joint_;
  GrowingTable                                                       dogs_;
  std::vector<std::pair<std::unique_ptr<GrowingTable>, std::string>> tables_;
  std::vector<Line>                                                  lines_;
  nlohmann::ordered_json                                             summary_ = nlohmann::ordered_json::array();
};
} // namespace

MergedStudy merge_study(const Study &study, const StudyCases &cases, const std::string &folder, bool only_joint)
{
  return Merger(study, cases, folder, only_joint).all();
}
} // namespace stifle::app
