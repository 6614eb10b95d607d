// models/healing/callus.h - elastic modulus of the callus in the cut against weeks after the operation
//   in      weeks >= 0;   out  MPa;   errors  Error on a negative or non-finite week, a shift that is not finite
//   law     log E is a logistic function of the week between 0.2 and 6000 MPa, through the geometric means of the brackets
//           of week 4 and week 8:   ln E = ln 0.2 + (ln 6000 - ln 0.2) / (1 + exp(-k (week - w0)))
//   source  brackets of construct.md section 6, row "modulus vs week at osteotomy": a working ASSUMPTION, no canine measurement
//   limits  week 0 is the fresh cut and returns exactly 0 (no callus: only contact acts); just after it the law gives 0.3 MPa
#pragma once
#include <utility>
#include <vector>

namespace stifle
{
/// What the reference allows from first_week to last_week.
struct CallusBracket
{
  double first_week, last_week, low_mpa, high_mpa;
};
const std::vector<CallusBracket> &callus_brackets();

/// `shift` is added to the logit of the share of log E: 0 the middle, above 0 a dog that heals faster.
double callus_modulus_mpa(double week, double shift = 0);
/// Shifts at which the law meets the low and the high end of the bracket of week 4, where it is widest: about -0.46 and 0.45.
std::pair<double, double> callus_shift_bounds();
} // namespace stifle
