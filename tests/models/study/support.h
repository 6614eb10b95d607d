// tests/models/study/support.h - small studies
#pragma once
#include "models/study/neutral_bands.h"
#include "models/study/study_tables.h"
#include "tests/models/joint/support.h"

namespace stifle::test
{
/// The default dog in two dimensions.
inline Scenario flat()
{
  Scenario s;
  s.joint.dimension = 2;
  return s;
}

inline Scenario small_study(int samples)
{
  Scenario s = flat();
  s.loads.set = {"stance", "axial"};
  s.study.stance_percent = {50};
  s.study.sweep_plateau_deg = {10, 20, 10};
  s.levelling.plateau_angles_deg = {6};
  s.study.samples = samples;
  return s;
}

inline std::vector<Activity> walk() { return {activity("walk")}; }

/// The key of a row without its results.
inline JointRow row_key(double target_deg, const std::string &repair, LoadSet set, const std::string &activity = "")
{
  JointRow row;
  row.plateau_angle_target_deg = target_deg;
  row.repair = repair;
  row.set = set;
  row.activity = activity;
  if (set == LoadSet::stance)
    row.percent = 50;
  return row;
}

inline const Band &band(const std::vector<Band> &bands, const std::string &quantity)
{
  for (const Band &b : bands)
    if (b.quantity == quantity)
      return b;
  throw std::runtime_error("no band " + quantity);
}

inline const UncertainInput &input(const std::vector<UncertainInput> &inputs, const std::string &name)
{
  for (const UncertainInput &i : inputs)
    if (i.name == name)
      return i;
  throw std::runtime_error("no input " + name);
}
} // namespace stifle::test
