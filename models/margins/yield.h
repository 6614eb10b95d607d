// models/margins/yield.h - margin of a part against its strength, and the word for it
//   in      capacity and demand in one unit (MPa for yield; N for later modes); plain values, no mesh, no solver
//   out     margin = capacity / demand; empty when the demand is 0
//   errors  Error on NaN, infinity, a negative demand or a capacity that is not given (<= 0)
//   source  the definition of design.md "Results in DIR"; the two limits below are this program's choice (common practice)
#pragma once
#include <optional>
#include <string>

namespace stifle
{
/// The one place where the words of the column `verdict` are defined:
///   adequate    margin >= 1.5
///   marginal    1.0 <= margin < 1.5
///   overloaded  margin < 1.0
constexpr double adequate_margin = 1.5;
constexpr double least_margin = 1.0;

std::optional<double> yield_margin(double capacity, double demand);
std::string verdict(double margin);
/// Whether a failure mode is yield: of a part, or of the shaft of a screw.
inline bool is_yield(const std::string &mode) { return mode == "yield" || mode == "shaft_yield"; }
} // namespace stifle
