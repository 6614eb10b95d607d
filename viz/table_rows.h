// viz/table_rows.h - rows of any CSV table of the results folder, by the words in some columns
//   errors  InputError when the file or a named column is missing;  units as in the column names
#pragma once
#include "models/core/files.h"
#include <optional>
#include <utility>

namespace stifle::viz
{
/// Column and the word in it; an empty word matches any row.
using Filter = std::vector<std::pair<std::string, std::string>>;

/// A word of a table as people read it: blanks for underscores.
std::string spaced(std::string word);

class TableRows
{
public:
  explicit TableRows(const std::string &file);

  std::size_t size() const { return table_.rows.size(); }
  bool has(const std::string &column) const;
  std::optional<double> number(std::size_t row, const std::string &column) const; ///< an empty cell is not a number
  const std::string &word(std::size_t row, const std::string &column) const;
  std::vector<std::size_t> where(const Filter &filter) const;
  /// Of `rows`, those whose number in the column is nearest to `wanted` (all at that one value); rows without a number fall out.
  std::vector<std::size_t> nearest(const std::vector<std::size_t> &rows, const std::string &column, double wanted) const;
  /// Words of a column, each once, in the order of the rows.
  std::vector<std::string> words(const std::vector<std::size_t> &rows, const std::string &column) const;
  /// Rows that fit, of the plateau target nearest to the wanted one.
  std::vector<std::size_t> at_slope(const Filter &filter, double target_deg) const;

protected:
  ReadTable table_;
};
} // namespace stifle::viz
