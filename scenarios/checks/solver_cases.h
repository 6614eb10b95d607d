// scenarios/checks/solver_cases.h - the rows of each solver case; solver_checks() lists them
#pragma once
#include "scenarios/checks/check.h"

namespace stifle::checks
{
std::vector<CheckRow> four_point_bending();  ///< C1   beam_checks.cc
std::vector<CheckRow> patch_test();          ///< C2   patch_checks.cc
std::vector<CheckRow> thick_plate();         ///< C4   plate_checks.cc (LE10)
std::vector<CheckRow> thermal_stress();      ///< C5   thermal_checks.cc
std::vector<CheckRow> cook_membrane();       ///< C6   plate_checks.cc
std::vector<CheckRow> slender_beams();       ///< C7   slender_checks.cc
std::vector<CheckRow> pressure_vessels();    ///< C8   pressure_checks.cc
std::vector<CheckRow> roller_on_block();     ///< C10  roller_checks.cc
std::vector<CheckRow> hole_in_bending();     ///< C11  hole_checks.cc
std::vector<CheckRow> screw_as_dowel();      ///< C12  dowel_checks.cc
std::vector<CheckRow> composite_beam();      ///< C13  composite_checks.cc
std::vector<CheckRow> plate_alloys();        ///< C18  beam_checks.cc
std::vector<CheckRow> preload_opening();     ///< C26  preload_checks.cc

/// Stiffness P / deflection (N/mm) at the loading rollers of the 11 x 3.3 mm bar under four-point bending, from solid elements.
double solid_bar_stiffness(double modulus_mpa, double poisson_ratio);
/// Stress yy at D of the thick plate; `whole_face` holds u_z on the whole outer face, which is the known mistake.
double thick_plate_stress(bool whole_face, double *total_load = nullptr, double *off_line_reaction = nullptr);

/// Gross stress factor of the 4 mm hole in the bent 11 x 3.3 mm strip, `rim_elements` (even) on a quarter of the rim; the moment
/// on the quarter, N mm.
double hole_bending_factor(int rim_elements, double *moment = nullptr);

struct RollerContact ///< of the half
{
  double half_width_mm = 0, peak_mpa = 0, force_n = 0;
};
/// The roller on its block, elements of `step` mm at the contact, at each contact stiffness (N/mm3) in turn.
std::vector<RollerContact> roller_contact(double step, const std::vector<double> &stiffness);

struct Dowel
{
  double end_mm = 0, moment_nmm = 0; ///< at the free end; largest along the core
};

/// Bonded tube (16/9 mm) and plate (11 x 3.3 mm) with an optional filling strip of the tube's material; bending about the axis
/// across the plate. Lengths in mm, moduli in MPa.
struct CompositeSection
{
  double tube_modulus = 16e3, plate_modulus = 193e3, strip_half_width = 0;
  double axis_mm() const;             ///< elastic centroid above the tube axis
  double bending_stiffness() const;   ///< N mm2, about that centroid
  double tube_inertia() const;        ///< mm4
  double stress(double modulus, double y, double moment_nmm) const;
};
} // namespace stifle::checks
