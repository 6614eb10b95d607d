#include "viz/table_rows.h"
#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace stifle::viz
{
TableRows::TableRows(const std::string &file) : table_(read_table(file)) {}

bool TableRows::has(const std::string &column) const
{
  return std::find(table_.columns.begin(), table_.columns.end(), column) != table_.columns.end();
}

const std::string &TableRows::word(std::size_t row, const std::string &column) const
{
  return table_.rows[row][static_cast<std::size_t>(table_.column(column))];
}

std::optional<double> TableRows::number(std::size_t row, const std::string &column) const
{
  const std::string &cell = word(row, column);
  char *end = nullptr;
  const double value = std::strtod(cell.c_str(), &end);
  return cell.empty() || *end != '\0' || !std::isfinite(value) ? std::nullopt : std::optional<double>(value);
}

std::vector<std::size_t> TableRows::where(const Filter &filter) const
{
  std::vector<std::size_t> found;
  for (std::size_t r = 0; r < size(); ++r)
    if (std::all_of(filter.begin(), filter.end(),
                    [&](const auto &wanted) { return wanted.second.empty() || word(r, wanted.first) == wanted.second; }))
      found.push_back(r);
  return found;
}

std::vector<std::size_t> TableRows::nearest(const std::vector<std::size_t> &rows, const std::string &column, double wanted) const
{
  std::optional<double> best;
  for (const std::size_t r : rows)
    if (const auto value = number(r, column); value && (!best || std::abs(*value - wanted) < std::abs(*best - wanted) - 1e-9))
      best = value;
  std::vector<std::size_t> found;
  for (const std::size_t r : rows)
    if (const auto value = number(r, column); value && std::abs(*value - *best) < 1e-6)
      found.push_back(r);
  return found;
}

std::vector<std::string> TableRows::words(const std::vector<std::size_t> &rows, const std::string &column) const
{
  std::vector<std::string> found;
  for (const std::size_t r : rows)
    if (const std::string &one = word(r, column); std::find(found.begin(), found.end(), one) == found.end())
      found.push_back(one);
  return found;
}

std::vector<std::size_t> TableRows::at_slope(const Filter &filter, double target_deg) const
{
  return nearest(where(filter), "plateau_angle_target_deg", target_deg);
}

std::string spaced(std::string word)
{
  std::replace(word.begin(), word.end(), '_', ' ');
  return word;
}
} // namespace stifle::viz
