#include "models/study/study_tables.h"

namespace stifle
{
namespace
{
template <class Number> void add(Table &table, const std::optional<Number> &number)
{
  if (number)
    table.add(static_cast<double>(*number));
  else
    table.add_empty();
}

void add_percent(Table &table, const StudyInstant &instant)
{
  add(table, instant.set == LoadSet::stance ? std::optional(instant.percent) : std::nullopt);
}
} // namespace

Table bands_table(const std::vector<Band> &bands)
{
  Table table({"plateau_angle_target_deg", "ligament", "repair", "load_set", "activity", "stance_percent", "quantity", "unit",
               "low", "median", "high", "samples", "failed", "dislocated", "reason"});
  for (const Band &band : bands)
  {
    table.begin_row();
    add(table, band.plateau_angle_target_deg);
    for (const std::string &text : {band.ligament, band.repair, to_string(band.instant.set), band.instant.activity})
      table.add(text);
    add_percent(table, band.instant);
    table.add(band.quantity);
    table.add(band.unit);
    for (const std::optional<double> &value : {band.low, band.median, band.high})
      add(table, value);
    table.add(static_cast<double>(band.samples));
    table.add(static_cast<double>(band.failed));
    table.add(static_cast<double>(band.dislocated));
    table.add(band.reason);
  }
  return table;
}

Table sensitivity_table(const std::vector<DriverRow> &rows)
{
  Table table({"quantity", "activity", "stance_percent", "input", "label", "first_order", "total", "rank", "samples", "failed",
               "first_order_error", "total_error"});
  for (const DriverRow &row : rows)
  {
    table.begin_row();
    table.add(row.quantity);
    table.add(row.instant.activity);
    add_percent(table, row.instant);
    table.add(row.input);
    table.add(row.label);
    add(table, row.first_order);
    add(table, row.total);
    add(table, row.rank);
    table.add(static_cast<double>(row.samples));
    table.add(static_cast<double>(row.failed));
    add(table, row.first_order_error);
    add(table, row.total_error);
  }
  return table;
}

Table inputs_table(const std::vector<UncertainInput> &inputs)
{
  Table table({"input", "unit", "distribution", "low", "high", "label", "source"});
  for (const UncertainInput &input : inputs)
  {
    table.begin_row();
    for (const std::string &text : {input.name, input.unit, input.distribution.text()})
      table.add(text);
    table.add(input.distribution.low());
    table.add(input.distribution.high());
    table.add(to_string(input.label));
    table.add(input.source);
  }
  return table;
}
} // namespace stifle
