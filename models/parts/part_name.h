// models/parts/part_name.h - which material a part of the construct is of, by its name
//   names  cortex_SEGMENT, cancellous_SEGMENT, tube_SEGMENT (bench), plate, screw_N. Rows of margins.csv name other places as well
//          (plateau, cut, tibia ...): none of these is one of them
#pragma once
#include <string>

namespace stifle
{
inline bool is_cortex(const std::string &part) { return part.rfind("cortex", 0) == 0; }
inline bool is_cancellous(const std::string &part) { return part.rfind("cancellous", 0) == 0; }
inline bool is_tube(const std::string &part) { return part.rfind("tube", 0) == 0; }
inline bool is_plate(const std::string &part) { return part == "plate"; }
inline bool is_screw(const std::string &part) { return part.rfind("screw_", 0) == 0; }
inline bool is_metal(const std::string &part) { return is_plate(part) || is_screw(part); }
} // namespace stifle
