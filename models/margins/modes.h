// models/margins/modes.h - every way the construct can fail: demand against capacity, from plain numbers
//   in       forces N, stresses MPa, strains microstrain, lengths mm, angles deg (edge of the program), body mass kg; the sizes of a
//            demand, >= 0 (a sign that cannot load the part counts as 0 where this is said)
//   out      demand and capacity in `unit`, with the label and the source of the capacity; margin and word: models/margins/yield.h
//   errors   Error on NaN, infinity, a negative demand, a capacity that is not given
//   source   construct.md 1.10, sections 4, 6, 9; joint.md section 5 and J25, J26; each row says which
//   limits   capacities of the dog scatter by 15 to 40 % (capacity_sd where a spread is known)
#pragma once
#include "models/margins/life.h"
#include "models/margins/pull_out.h"

namespace stifle
{
struct Margin
{
  std::string part, mode;
  double demand = 0, capacity = 0;
  std::string unit;
  std::string label, source;
  double capacity_sd = 0; ///< one standard deviation, in `unit` (strength_draw.h says where it comes from); 0: a limit by definition
};

/// Peak von Mises stress; linear, so above yield it is a flag and no stress.
Margin yield_mode(const std::string &part, double von_mises_mpa, const Material &material);
/// Usage against 1. The source names the life as a decade, the activity that uses most and the week of failure.
Margin fatigue_mode(const std::string &part, const FatigueUse &use, const Material &material);
/// The same for bone at a screw (use from bone_life_law).
Margin bone_fatigue_mode(const std::string &part, const FatigueUse &use);

/// Axial force, positive = pulls the screw out of the bone. Push-out: negative = pushes it in; capacity of the pull-out
/// (assumption).
Margin pull_out_mode(const std::string &screw, double axial_n, const ScrewSize &size, const std::vector<ThreadBed> &beds);
Margin push_out_mode(const std::string &screw, double axial_n, const ScrewSize &size, const std::vector<ThreadBed> &beds);
/// Principal strains of bone around the screws against yield, 7000 microstrain in tension, 10 000 in compression; the worse side.
Margin bone_strain_mode(const std::string &part, double tension_microstrain, double compression_microstrain);

/// Pull of the patellar tendon the tuberosity bears, N: 2093 N at the reference width 10.8 mm; (w/10.8)^2 below it (bending),
/// w/10.8 above (shear): the lower of both, inside the range of J25.
double tuberosity_strength_n(double width_mm);
Margin tuberosity_mode(double tendon_n, double width_mm);
/// Body mass over width squared, kg/mm2: ranks fractures better than either alone (C28).
double tuberosity_risk_index(double body_mass_kg, double width_mm);

/// Strain of the gap, 100 opening / gap, against what the tissue of that modulus bears: up to 2 MPa granulation 100 %, below
/// 1000 MPa fibrocartilage 10 %, above bone 2 %.
Margin cut_opening_mode(double opening_mm, double gap_mm, double callus_modulus_mpa);
/// Rise of the plateau, deg (a fall counts as 0), against the 2 deg that clinics call a rise. The drift here is elastic.
Margin plateau_drift_mode(double drift_deg);
/// Caudal cruciate after levelling past the neutral slope: 4 body weights.
Margin caudal_cruciate_mode(double force_n, double body_mass_kg);
/// Patellar tendon: 4 body weights, at least 740 N.
Margin tendon_mode(double force_n, double body_mass_kg);
/// Whole tibia crushed along its axis: 8193 N, dogs of 15 to 35 kg. A pull counts as 0: positive = compression.
Margin whole_bone_mode(double axial_n);
} // namespace stifle
