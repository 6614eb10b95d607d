// models/margins/pull_out.h - force that strips the thread of a screw out of bone
//   law      F = S pi L D TSF, TSF = 0.5 + 0.57735 (D - core) / (2 pitch): the thread shears the host along its major diameter
//   units    MPa, mm, N
//   errors   Error on NaN, infinity, a length below 0 or a strength that is not above 0
//   source   ASTM F543 annex, construct.md 1.10; in foam measured over predicted 1.05, R2 0.947 (S30, abstract)
//   limits   not for stripped or bending screws; every layer of bone yields at the same pull (upper bound)
//   push-out no value for the dog was found (construct.md section 6). The same thread is loaded the other way round, so its
//            capacity is taken as that of the pull-out: assumption
#pragma once
#include "models/parts/screw_size.h"

namespace stifle
{
double thread_shape_factor(const ScrewSize &screw);
/// N, one host of that shear strength over the engaged length.
double pull_out_n(const ScrewSize &screw, double shear_mpa, double engaged_mm);

/// Shear strength of a host, with where it comes from.
struct ThreadHost
{
  double shear_mpa = 0;
  std::string label, source;
};
/// 67 MPa, human cortical bone (memory).
ThreadHost cortical_host();
/// modulus x yield strain 0.7 % x (shear over tension of cortical bone, 67/133): assumption. 554.5 MPa gives 1.955 MPa.
ThreadHost cancellous_host(double modulus_mpa);
/// Apparent density of cancellous bone, g/cm3, from E = 15 520 rho^1.93 MPa (human proximal tibia, memory).
double cancellous_density(double modulus_mpa);

struct ThreadBed
{
  ThreadHost host;
  double engaged_mm = 0;
};
/// Sum over the layers of bone the thread runs through, N.
double thread_hold_n(const ScrewSize &screw, const std::vector<ThreadBed> &beds);
} // namespace stifle
