#include "models/study/margin_inputs.h"
#include "models/healing/callus.h"
#include <algorithm>

namespace stifle
{
namespace
{
using Inputs = std::vector<UncertainInput>;

bool moves_the_mesh(const UncertainInput &input)
{
  for (const char *name : {"native_plateau_angle", "observer_error", "tendon_insertion_shift", "suture_tension_left",
                           "suture_line_stiffness"})
    if (input.name == name)
      return true;
  return false;
}

void add_cut(Inputs &all, const Scenario &s)
{
  const double friction = s.healing.friction;
  all.push_back({"friction", "", Distribution::uniform(0.75 * friction, std::min(1.0, 1.25 * friction)), Label::memory,
                 "bone on bone 0.3 to 0.5 in finite-element studies, construct.md section 6; default 0.4",
                 [](SampledDog &dog, double v) { dog.scenario.healing.friction = v; }});
  const auto [slow, fast] = callus_shift_bounds();
  all.push_back({"callus_shift", "", Distribution::uniform(slow, fast), Label::assumption,
                 "the law of weeks through either end of the bracket 10 to 100 MPa of week 4, construct.md section 6",
                 [](SampledDog &dog, double v) { dog.callus_shift = v; }});
}

void add_strength(Inputs &all, const std::string &name, double StrengthDraw::*member, const Source &source)
{
  all.push_back({name, "SD", Distribution::normal(0, 1), source.label, source.text,
                 [member](SampledDog &dog, double v) { dog.strengths.*member = v; }});
}

void add_strengths(Inputs &all)
{
  const Source metal{Label::assumption, "coefficient of variation 5 %; the sheets give minima of a standard, no spread"};
  const Source life{Label::memory, "spread of the fatigue limit in models/parts/materials.yaml, as decades of life"};
  add_strength(all, "plate_yield", &StrengthDraw::plate, metal);
  add_strength(all, "screw_yield", &StrengthDraw::screws, metal);
  add_strength(all, "plate_life", &StrengthDraw::plate_life, life);
  add_strength(all, "screw_life", &StrengthDraw::screw_life, life);
  add_strength(all, "bone_strength", &StrengthDraw::bone,
               {Label::memory, "20 %: \"take as +-20 %\", construct.md section 6; yield, strain, threads and fatigue of bone"});
  add_strength(all, "tuberosity_strength", &StrengthDraw::tuberosity, {Label::abstract, "2093 N +- 40 %, J26 of joint.md"});
  add_strength(all, "soft_tissue_strength", &StrengthDraw::soft_tissue,
               {Label::assumption, "25 %, of the order of failure loads of constructs (S12); caudal cruciate and tendon"});
  add_strength(all, "whole_bone_strength", &StrengthDraw::whole_bone, {Label::abstract, "8193 +- 2083 N, S26 of construct.md"});
}
} // namespace

Inputs margin_inputs(const Scenario &scenario)
{
  Inputs all = uncertain_inputs(scenario);
  all.erase(std::remove_if(all.begin(), all.end(), moves_the_mesh), all.end());
  add_cut(all, scenario);
  add_strengths(all);
  return all;
}
} // namespace stifle
