// models/joint/cells.h - a number of a table, or an empty cell where it was not computed
#pragma once
#include "models/core/files.h"

namespace stifle
{
inline void add_if(Table &table, bool known, double number)
{
  if (known)
    table.add(number);
  else
    table.add_empty();
}
inline void add_truth(Table &table, bool value) { table.add(std::string(value ? "true" : "false")); }
inline void add_truth_if(Table &table, bool known, bool value)
{
  if (known)
    add_truth(table, value);
  else
    table.add_empty();
}
} // namespace stifle
