// viz/vtu.h - field files that ParaView and any VTK program open: VTU (quadratic tetrahedra, type 24); their list: field_list.h
//   units    mm, N, MPa; array names carry the unit (design.md "Results in DIR")
//   frame    tibia of a right limb; `mirrored` writes a left limb: y -> -y of points and vectors, signs of xy and yz of stress,
//            and two corners of each cell change places so that its volume stays positive
//   format   VTK XML, appended raw, zlib, 64-bit headers; needs no display
//   errors   Error when the field is not consistent, holds a NaN or an infinity, or the file cannot be written or read
#pragma once
#include "solver/results.h"

namespace stifle::viz
{
/// Written beside `path` (".part") and renamed: a killed program leaves the old file or the new one.
void write_vtu(const std::string &path, const FieldData &field, bool mirrored = false);

/// The values as they stand in the file (a left limb stays mirrored; `mirrored`, when given, says so).
FieldData read_vtu(const std::string &path, bool *mirrored = nullptr);
} // namespace stifle::viz
