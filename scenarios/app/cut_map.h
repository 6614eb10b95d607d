// scenarios/app/cut_map.h - cut_map.csv: the faces of the cut in one state a week and slope, that of the largest hock force
//   arc_mm    along the cut from its lowest line, radius times angle about the saw axis; cranial > 0
//   opening   movement of the sides away from one another since unloaded (< 0: closer), as in cut.csv, at the middle of the face
//   pressure  of the contact, mean over the face; callus: normal stress it bears there, compression > 0
#pragma once
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
/// Faces of `map` replace those kept for its week when its hock force is larger. A map without faces is left out.
void keep_larger_load(std::vector<CutMap> &kept, CutMap map);

/// Along the arc, mm: see above.
double arc_mm(const Vector3 &point, const Vector3 &centre, double radius_mm);

std::string cut_map_csv(const std::vector<SlopeResult> &slopes);
} // namespace stifle::app
