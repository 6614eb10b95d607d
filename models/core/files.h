// models/core/files.h - data files of the program, atomic writing, tables
#pragma once
#include <string>
#include <vector>

namespace stifle
{
/// Path of a file shipped with the program ("models/limb/activities.yaml"): $STIFLE_DATA, else the source tree.
std::string data_file(const std::string &relative);

/// Writes beside the target and renames; a killed program leaves the old file or the new one. Throws Error.
void write_file(const std::string &path, const std::string &content);

/// Whole content; throws InputError when the file cannot be read.
std::string read_file(const std::string &path);

/// A CSV table: header with units, one row a line. A NaN or infinite number is a programming error and throws Error;
/// an empty string is an empty cell ("not computed"). Text with comma or quote is quoted.
class Table
{
public:
  explicit Table(std::vector<std::string> columns);
  void begin_row();
  void add(const std::string &text);
  void add(double number);       ///< 9 significant digits
  void add_empty();
  std::string csv() const;       ///< throws Error when a row has the wrong length
  std::size_t n_rows() const;

private:
  std::vector<std::string>              columns_;
  std::vector<std::vector<std::string>> rows_;
};
/// Reads a CSV table written by Table. Throws InputError on a bad shape.
struct ReadTable
{
  std::vector<std::string>              columns;
  std::vector<std::vector<std::string>> rows;
  int column(const std::string &name) const; ///< throws InputError when absent
};
ReadTable read_table(const std::string &path);
} // namespace stifle
