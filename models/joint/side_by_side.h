// models/joint/side_by_side.h - the same torn dog, the same instants, every repair beside the others
//   in      rows of models/joint/sweep.h; of levelling only the angles of levelling.plateau_angles_deg, of the native slopes only
//           the dog's own
//   load    of the repair against its strength (models/margins/repair_strength.h): suture: tension against yield (low) and peak
//           (high); advancement: patellar tendon against pull-out of a badly (low) and a well placed spacer (high), sheep bench;
//           none, levelling and wedge have none here: what holds a cut is judged by the construct
//   margin  strength / load, empty without load
#pragma once
#include "models/core/files.h"
#include "models/joint/sweep.h"
#include "models/margins/repair_strength.h"

namespace stifle
{
struct SideBySideRow
{
  const JointRow *joint = nullptr;      ///< borrowed from the rows given
  std::vector<RepairStrength> strength; ///< weakest first
};

/// Activity as in the rows, instant rising, then the intact unoperated joint, then torn: none, levelling (target rising), wedge,
/// suture, advancement. Load set stance only.
std::vector<SideBySideRow> side_by_side(const Scenario &scenario, const std::vector<JointRow> &rows);
Table side_by_side_table(const std::vector<SideBySideRow> &rows);
} // namespace stifle
