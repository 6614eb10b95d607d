// scenarios/app/table_cells.h - cells and places of a table that may be empty
#pragma once
#include "models/core/units.h"
#include "models/joint/cells.h"
#include <optional>

namespace stifle::app
{
inline void add_optional(Table &table, const std::optional<double> &value) { add_if(table, value.has_value(), value.value_or(0)); }
/// Three cells.
inline void add_place(Table &table, const std::optional<Vector3> &place)
{
  for (int i = 0; i < 3; ++i)
    add_optional(table, place ? std::optional((*place)[i]) : std::nullopt);
}
} // namespace stifle::app
