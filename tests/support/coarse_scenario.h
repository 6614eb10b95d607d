// tests/support/coarse_scenario.h - the default dog on a mesh that takes a second instead of ten
#pragma once
#include "models/core/scenario.h"

inline stifle::Scenario coarse_scenario()
{
  stifle::Scenario s;
  s.mesh.bone_size_mm   = 4;
  s.mesh.detail_size_mm = 1.2;
  return s;
}
