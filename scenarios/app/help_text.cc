#include "scenarios/app/help_text.h"
#include "models/core/text_width.h"
#include "scenarios/app/command_line.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
struct Row
{
  std::string words, meaning;
};

/// Two columns, the second one wrapped in its own.
std::string table(const std::string &title, const std::vector<Row> &rows)
{
  if (rows.empty())
    return "";
  std::size_t width = 0;
  for (const Row &row : rows)
    width = std::max(width, row.words.size());
  const int   left = static_cast<int>(width) + 4;
  std::string out  = title + ":\n";
  for (const Row &row : rows)
  {
    std::string meaning = wrap_text(row.meaning, page_columns - left, 0);
    for (std::size_t at = 0; (at = meaning.find('\n', at)) != std::string::npos; at += left + 1)
      meaning.replace(at, 1, "\n" + std::string(left, ' '));
    out += fmt::format("  {:<{}}{}\n", row.words, left - 2, meaning);
  }
  return out + "\n";
}

std::vector<Row> rows_of(const std::vector<const CLI::Option *> &options)
{
  std::vector<Row> rows;
  for (const CLI::Option *option : options)
    rows.push_back({option_words(*option), meaning_of(*option)});
  return rows;
}
} // namespace

std::string meaning_of(const CLI::Option &option)
{
  const auto values = fixed_values(option);
  return option.get_description() + (values.empty() ? "" : fmt::format(": {}", fmt::join(values, ", ")));
}

std::string usage_of(const CLI::App &app)
{
  std::string out = (app.get_parent() ? app.get_parent()->get_name() + " " : "") + app.get_name();
  if (!commands_of(app).empty())
    return out + " COMMAND";
  if (dashed_options(app).size() > 1) // more than the help
    out += " [OPTIONS]";
  for (const CLI::Option *option : positionals(app))
    out += " " + option_words(*option);
  return out;
}

std::string help_text(const CLI::App &app)
{
  std::vector<Row> commands;
  for (const CLI::App *command : commands_of(app))
    commands.push_back({command->get_name(), command->get_description()});
  return wrap_text(app.get_description() + ".\n\nUsage: " + usage_of(app) + "\n\n", page_columns, 0) + table("Commands", commands) +
         table("Arguments", rows_of(positionals(app))) + table("Options", rows_of(dashed_options(app))) +
         wrap_text(app.get_footer() + "\n", page_columns, 0);
}
} // namespace stifle::app
