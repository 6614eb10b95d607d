// models/parts/screw_size.h - nominal sizes of bone screws by name, from models/parts/screws.yaml
//   names   cortex_3.5, cancellous_4.0, locking_3.5, ...: kind and major diameter, mm
//   errors  InputError: unknown name (with the nearest row), broken file (file, line, column)
//   source  construct.md section 7; the file carries label and reference of every single number
#pragma once
#include <string>
#include <vector>

namespace stifle
{
struct ScrewSize
{
  std::string name;
  double major_mm = 0, core_mm = 0, pitch_mm = 0;
  bool locking = false;
  std::string label;  ///< of the weakest number: memory before read
  std::string source; ///< reference and label of every number
};
/// Throws InputError naming the nearest row when `name` is unknown.
ScrewSize find_screw_size(const std::string &name);
std::vector<std::string> screw_size_names();
/// Throws InputError with every problem of the file.
std::vector<ScrewSize> read_screw_sizes(const std::string &file);
} // namespace stifle
