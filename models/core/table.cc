#include "models/core/error.h"
#include "models/core/files.h"
#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
std::string quoted_cell(const std::string &text)
{
  if (text.find_first_of(",\"\n\r") == std::string::npos)
    return text;
  std::string quoted = "\"";
  for (const char c : text)
    quoted += c == '"' ? "\"\"" : std::string(1, c);
  return quoted + "\"";
}

std::string csv_line(const std::vector<std::string> &cells)
{
  std::string line;
  for (std::size_t i = 0; i < cells.size(); ++i)
    line += (i > 0 ? "," : "") + quoted_cell(cells[i]);
  return line + "\n";
}

/// Cells of all rows; a quoted cell may hold commas, doubled quotes and line ends.
std::vector<std::vector<std::string>> split_csv(const std::string &path, const std::string &text)
{
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string>              row;
  std::string                           cell;
  bool                                  inside = false;
  for (std::size_t i = 0; i < text.size(); ++i)
  {
    const char c = text[i];
    if (inside && c == '"' && i + 1 < text.size() && text[i + 1] == '"')
      cell += text[++i];
    else if (c == '"')
      inside = !inside;
    else if (inside || (c != ',' && c != '\n' && c != '\r'))
      cell += c;
    else if (c != '\r')
    {
      row.push_back(std::move(cell));
      cell.clear();
      if (c == '\n')
        rows.push_back(std::move(row)), row.clear();
    }
  }
  if (inside || !cell.empty() || !row.empty())
    throw InputError(
        {InputProblem{path, int(rows.size()) + 1, 1, "the table is cut off: its last line has no end", "", "", "", ""}});
  return rows;
}
} // namespace

Table::Table(std::vector<std::string> columns) : columns_(std::move(columns)) {}

void Table::begin_row() { rows_.emplace_back(); }

void Table::add(const std::string &text)
{
  if (rows_.empty())
    throw Error("Table::add before begin_row");
  rows_.back().push_back(text);
}

void Table::add(double number)
{
  const std::size_t column = rows_.empty() ? 0 : rows_.back().size();
  if (!std::isfinite(number))
    throw Error(fmt::format("a number that is not finite must not leave the program (column {}, row {})",
                            column < columns_.size() ? columns_[column] : "?", rows_.size()));
  add(fmt::format("{:.9g}", number == 0 ? 0.0 : number)); // no negative zero
}

void Table::add_empty() { add(std::string()); }

std::size_t Table::n_rows() const { return rows_.size(); }

std::string Table::csv() const
{
  std::string text = csv_line(columns_);
  for (std::size_t i = 0; i < rows_.size(); ++i)
  {
    if (rows_[i].size() != columns_.size())
      throw Error(fmt::format("row {} of a table has {} cells, its header ({} ...) has {}", i + 1, rows_[i].size(),
                              columns_.empty() ? "" : columns_[0], columns_.size()));
    text += csv_line(rows_[i]);
  }
  return text;
}

int ReadTable::column(const std::string &name) const
{
  for (std::size_t i = 0; i < columns.size(); ++i)
    if (columns[i] == name)
      return int(i);
  std::string allowed;
  for (const std::string &column : columns)
    allowed += (allowed.empty() ? "" : ", ") + column;
  throw InputError({InputProblem{"table", 1, 1, "missing column '" + name + "'", "", allowed, "", ""}});
}

ReadTable read_table(const std::string &path)
{
  auto rows = split_csv(path, read_file(path));
  if (rows.empty())
    throw InputError({InputProblem{path, 0, 0, "the table has no header", "", "", "", ""}});
  ReadTable table;
  table.columns = rows.front();
  table.rows.assign(rows.begin() + 1, rows.end());
  for (std::size_t i = 0; i < table.rows.size(); ++i)
    if (table.rows[i].size() != table.columns.size())
      throw InputError({InputProblem{path, int(i) + 2, 1, "a row of the table has the wrong number of cells",
                                     fmt::format("{}", table.rows[i].size()), fmt::format("{}", table.columns.size()), "", ""}});
  return table;
}
} // namespace stifle
