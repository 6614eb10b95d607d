#include "scenarios/checks/rig_cases.h"
#include "models/parts/levelling.h"

namespace stifle::checks
{
Scenario tibia_scenario(const std::string &kind)
{
  Scenario s;
  s.mesh.bone_size_mm = 5.5, s.mesh.detail_size_mm = 1.2;
  s.rig = RigParameters();
  s.rig.kind = kind;
  return s;
}

Scenario tubes_scenario(const std::string &kind)
{
  Scenario s = tibia_scenario(kind);
  s.mesh.bone_size_mm = 5;
  s.plate.stand_off_mm = 1;
  s.rig.specimen = "tubes";
  return s;
}

solver::RigBench bench_of(const Scenario &s)
{
  const Anatomy anatomy = make_anatomy(s);
  const bool levelled = s.rig.used_specimen() == "tibia" && s.repair.has("levelling");
  return solver::make_bench(s, levelled ? plan_levelling(s, anatomy, radians(6)) : no_levelling(anatomy));
}

RigTest test_rig(const Scenario &s)
{
  RigTest test{bench_of(s), {}};
  const mesh::RigSpecimen &specimen = test.bench.specimen;
  solver::ConstructModel model(specimen.construct, specimen.anatomy, specimen.levelling, test.bench.materials);
  test.answer = solve_rig(test.bench, model);
  return test;
}

std::vector<CheckCase> rig_checks()
{
  return {{"C17", plated_torsion}, {"C19", carpal_strain}, {"C20", carpal_fatigue}, {"C21", axial_closed}, {"C22", ultimate_loads},
          {"C23", gap_to_2000},    {"C24", rock_back},     {"C25", far_wall_contact}, {"J23", endurance},
          {"J26", tuberosity_pull}};
}
} // namespace stifle::checks
