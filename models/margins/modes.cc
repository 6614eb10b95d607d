#include "models/margins/modes.h"
#include "models/margins/strength_draw.h"

#include "models/core/error.h"
#include "models/core/units.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
// construct.md section 6, cortical bone, isotropic surrogate: about 0.7 % in tension, 1.0 % in compression (memory)
constexpr double tension_yield = 7000, compression_yield = 10000; // microstrain
constexpr double tuberosity_pull_n = 2093, reference_width_mm = 10.8;

double finite(double value, const std::string &what)
{
  if (!std::isfinite(value))
    throw Error(fmt::format("margin: the {} must be finite, not {}", what, value));
  return value;
}

double size(double value, const std::string &what)
{
  if (finite(value, what) < 0)
    throw Error(fmt::format("margin: the {} must be at least 0, not {}", what, value));
  return value;
}

double given(double value, const std::string &what)
{
  if (!(finite(value, what) > 0))
    throw Error(fmt::format("margin: the {} must be above 0, not {}", what, value));
  return value;
}

bool is_bone(const Material &material) { return material.name.find("bone") != std::string::npos; }

double body_weight_n(double body_mass_kg) { return gravity_n_per_kg * given(body_mass_kg, "body mass"); }

std::string use_text(const FatigueUse &use)
{
  std::string text = use.decade ? fmt::format("life of the order 1e{} loadings", *use.decade) : "no damage";
  if (!use.worst_activity.empty())
    text += fmt::format(", most of it by {}", use.worst_activity);
  if (use.failure_week)
    text += fmt::format(", used up in week {:.3g}", *use.failure_week);
  if (use.shortest_life > 0 && use.shortest_life < 1e3)
    text += "; some loadings lie above the range of the law (life below 1e3)";
  return text;
}

/// Label and source of the weakest host.
Margin thread_mode(const std::string &screw, double force_n, const ScrewSize &screw_size, const std::vector<ThreadBed> &beds)
{
  const double hold = given(thread_hold_n(screw_size, beds), "hold of the thread");
  Margin row{screw, "pull_out", force_n, hold, "N", "memory", "", bone_strength_cv * hold};
  row.source = "ASTM F543, construct.md 1.10; size: " + screw_size.source;
  for (const ThreadBed &bed : beds)
    if (bed.engaged_mm > 0)
    {
      row.source += fmt::format("; {:.4g} mm of {:.4g} MPa: {}", bed.engaged_mm, bed.host.shear_mpa, bed.host.source);
      if (bed.host.label == "assumption")
        row.label = "assumption";
    }
  return row;
}
} // namespace

Margin yield_mode(const std::string &part, double von_mises_mpa, const Material &material)
{
  return {part,
          "yield",
          size(von_mises_mpa, "stress of " + part),
          given(material.yield_mpa, "yield strength of " + material.name),
          "MPa",
          material.label,
          material.source,
          (is_bone(material) ? bone_strength_cv : metal_strength_cv) * material.yield_mpa};
}

Margin fatigue_mode(const std::string &part, const FatigueUse &use, const Material &material)
{
  return {part,
          "fatigue",
          size(use.usage, "usage of " + part),
          1,
          "1",
          "assumption", // a line through two points is a guess (construct.md 1.15)
          fmt::format("{}; stress x {}, Goodman, Basquin through 0.9 ultimate at 1e3 and the fatigue limit at 1e7 ({}; {})",
                      use_text(use), life_claim_factor, material.fatigue_label, material.fatigue_source),
          0};
}

Margin bone_fatigue_mode(const std::string &part, const FatigueUse &use)
{
  return {part,
          "fatigue",
          size(use.usage, "usage of " + part),
          1,
          "1",
          "memory",
          use_text(use) + "; human femur, 2 Hz, J Biomech 1996, construct.md section 6; repair of bone left out",
          0};
}

Margin pull_out_mode(const std::string &screw, double axial_n, const ScrewSize &size, const std::vector<ThreadBed> &beds)
{
  return thread_mode(screw, std::max(0.0, finite(axial_n, "axial force of " + screw)), size, beds);
}

Margin push_out_mode(const std::string &screw, double axial_n, const ScrewSize &size, const std::vector<ThreadBed> &beds)
{
  Margin row = thread_mode(screw, std::max(0.0, -finite(axial_n, "axial force of " + screw)), size, beds);
  row.mode = "push_out";
  row.label = "assumption";
  row.source = "no push-out of a dog was found: capacity of the pull-out; " + row.source;
  return row;
}

Margin bone_strain_mode(const std::string &part, double tension_microstrain, double compression_microstrain)
{
  const double tension = size(tension_microstrain, "tension of " + part),
               compression = size(compression_microstrain, "compression of " + part);
  const bool pulled = tension / tension_yield >= compression / compression_yield;
  return {part,
          "bone_strain",
          pulled ? tension : compression,
          pulled ? tension_yield : compression_yield,
          "microstrain",
          "memory",
          fmt::format("yield strain of cortical bone in {}, construct.md section 6; no canine value found",
                      pulled ? "tension" : "compression"),
          bone_strength_cv * (pulled ? tension_yield : compression_yield)};
}

double tuberosity_strength_n(double width_mm)
{
  const double w = given(width_mm, "tuberosity width") / reference_width_mm;
  return tuberosity_pull_n * std::min(w, w * w);
}

Margin tuberosity_mode(double tendon_n, double width_mm)
{
  const double capacity = tuberosity_strength_n(width_mm);
  return {"tuberosity",
          "tendon_pull",
          size(tendon_n, "pull of the patellar tendon"),
          capacity,
          "N",
          "assumption",
          "2093 N, single pull after levelling, VCOT 2018;31:124 (J26, abstract), taken at 10.8 mm, the width of sound "
          "tuberosities (Vet Surg 2008); width law min(w, w^2), inside the range of J25",
          0.4 * capacity};
}

double tuberosity_risk_index(double body_mass_kg, double width_mm)
{
  const double w = given(width_mm, "tuberosity width");
  return given(body_mass_kg, "body mass") / (w * w);
}

Margin cut_opening_mode(double opening_mm, double gap_mm, double callus_modulus_mpa)
{
  const double modulus = size(callus_modulus_mpa, "modulus of the callus");
  const bool granulation = modulus <= 2, bone = modulus >= 1000;
  return {"cut",
          "opening",
          100 * size(opening_mm, "opening of the cut") / given(gap_mm, "gap"),
          granulation ? 100.0
          : bone      ? 2.0
                      : 10.0,
          "%",
          "read",
          fmt::format(
              "interfragmentary strain that {} bears (S59, teaching page), construct.md section 6; one-dimensional rule, sheep "
              "healed at a mean of 51 % (S60, abstract)",
              granulation ? "granulation"
              : bone      ? "bone"
                          : "fibrocartilage"),
          0};
}

Margin plateau_drift_mode(double drift_deg)
{
  return {"plateau",
          "drift",
          std::max(0.0, finite(drift_deg, "drift of the plateau")),
          2,
          "deg",
          "abstract",
          "a rise of 2 deg counted as rock-back in 20 of 95 stifles, VCOT 2024, 10.1055/s-0044-1787692 (S16); demand elastic",
          0};
}

Margin caudal_cruciate_mode(double force_n, double body_mass_kg)
{
  return {
      "caudal_cruciate",
      "strength",
      size(force_n, "force of the caudal cruciate"),
      4 * body_weight_n(body_mass_kg),
      "N",
      "memory",
      "strength of the order of the cranial cruciate (joint.md section 4, assumption), which bears about 4 body weights (weak)",
      soft_tissue_strength_cv * 4 * body_weight_n(body_mass_kg)};
}

Margin tendon_mode(double force_n, double body_mass_kg)
{
  const double capacity = std::max(740.0, 4 * body_weight_n(body_mass_kg));
  return {"patellar_tendon",
          "strength",
          size(force_n, "force of the patellar tendon"),
          capacity,
          "N",
          "memory",
          "630-850 N, size of dog unknown (not re-found), as the least; above 25 kg similar to the cranial cruciate, Vet Surg "
          "2014;43:136 (abstract), about 4 body weights (weak)",
          soft_tissue_strength_cv * capacity};
}

Margin whole_bone_mode(double axial_n)
{
  return {"tibia",
          "whole_bone",
          std::max(0.0, finite(axial_n, "axial force of the tibia")),
          8193,
          "N",
          "abstract",
          "8193 +- 2083 N, intact canine tibiae, dogs of 15-35 kg, Acta Vet Hung 2022;70:230 (S26, C27)",
          2083};
}
} // namespace stifle
