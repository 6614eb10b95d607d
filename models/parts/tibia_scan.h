// models/parts/tibia_scan.h - the tibia of a scan (tibia.surface) as the bone of the construct
//   frame   out: unoperated tibia. Three landmarks of the files give it: intercondylar point (origin), hock centre (on -z, or off
//           it by tibia.hock_offset_*), insertion of the patellar tendon (in the half plane y = 0, x > 0). Empty: already in it.
//   when    tibia.surface without joint.femur_surface; with it, when the surface is closed and as long as the tibia, else it is a
//           piece that carries the contact only
//   errors  InputError: those of read_stl and check_surface (closed: no open edge), crossings, landmarks that disagree with
//           tibia.length_mm or the insertion (3 mm, assumption), an insertion far from the surface (5 mm, assumption)
#pragma once
#include "models/core/scenario.h"
#include "models/parts/surface.h"
#include <optional>

namespace stifle
{
struct TibiaScan
{
  TriangleSurface outer;
  std::optional<TriangleSurface> inner; ///< inside of the cortex
};
/// Nothing when the parametric bone is used. Reads and carries into the frame; judges nothing but the landmarks.
std::optional<TibiaScan> read_tibia_scan(const Scenario &scenario);
/// Every refusal above; nothing when the parametric bone is used.
void check_tibia_scan(const Scenario &scenario);
/// `surface` of a file of tibia.surface in the tibia frame.
TriangleSurface in_tibia_frame(const Scenario &scenario, TriangleSurface surface);
} // namespace stifle
