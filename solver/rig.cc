#include "solver/rig.h"
#include "models/core/error.h"
#include "models/parts/part_name.h"
#include "solver/bone_law.h"
#include "solver/construct_results.h"
#include "solver/patch_load.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::solver
{
namespace
{
/// Work of the loads of size 1 on the displacement of the last state: its displacement.
double conjugate(const RigBench &bench, const ConstructModel &model)
{
  return landmark_forces(model.elasticity(), bench.unit).dot(model.displacement());
}

ConstructState solved(ConstructModel &model, const RigBench &bench, double size)
{
  ConstructState state = model.solve(bench.forces(size), bench.law);
  if (!state.converged)
    throw Error(fmt::format("rig: the cut contact did not converge at {:g}, residual {:.2e}", size, state.contact_residual));
  return state;
}

double metal_yield(const std::string &part, const ConstructMaterials &m)
{
  return is_metal(part) ? material_of(part, m).yield_mpa : 0;
}

void add_peaks(const RigBench &bench, RigAnswer &answer)
{
  for (const PartPeak &peak : answer.state.peaks)
  {
    if (peak.excluded)
      continue;
    if (const double yield = metal_yield(peak.part, bench.materials); yield > 0 && peak.von_mises_mpa > 0)
      answer.damage.push_back({peak.part, "yield", answer.size * yield / peak.von_mises_mpa, peak.place_mm});
    const double strain = std::max(peak.tension_strain / bone_yield_strain_tension, peak.compression_strain / bone_yield_strain_compression);
    if (is_cortex(peak.part) && strain > 0)
      answer.damage.push_back({peak.part, "bone strain", answer.size / strain, peak.place_mm});
  }
}

void add_shafts(const RigBench &bench, RigAnswer &answer)
{
  for (const ScrewShaft &shaft : answer.state.shafts)
    if (shaft.von_mises_mpa > 0)
      answer.damage.push_back({shaft.screw, "shaft", answer.size * bench.materials.screw.yield_mpa / shaft.von_mises_mpa, shaft.place_mm});
}

/// Mean shift along z of the ends of both tubes at the wall away from the plate.
double far_closing(const RigBench &bench, const ConstructModel &model)
{
  if (bench.rig.used_specimen() != "tubes")
    return 0;
  const auto &x = model.elasticity().nodes();
  double sum[2] = {0, 0}, n[2] = {0, 0};
  for (std::size_t i = 0; i < x.size(); ++i)
    for (const int side : {0, 1})
      if (std::abs(x[i].z() - bench.specimen.middle_z - (side == 0 ? 0.5 : -0.5) * bench.rig.gap_mm) < 1e-6 &&
          x[i].y() < -0.45 * bench.rig.tube_outer_mm)
        sum[side] += model.displacement()[3 * i + 2], n[side] += 1;
  return n[0] > 0 && n[1] > 0 ? sum[1] / n[1] - sum[0] / n[0] : 0;
}

/// Scales the last state until bone_share of a segment's cortex is past its yield strains. Contact and friction scale with the load
/// as long as the cut has no gap.
double bone_limit(const RigBench &bench, const ConstructModel &model)
{
  const auto &parts = bench.specimen.construct.mesh.parts;
  if (std::none_of(parts.begin(), parts.end(), is_cortex))
    return 0;
  const BoneUse use(model.elasticity(), model.displacement());
  const auto past = [&](double factor) { return use.past_yield_percent(factor); };
  double low = 0, high = 1;
  while (past(high) < 100 * bone_share && high < 1e6)
    low = high, high *= 2;
  for (int i = 0; i < 12; ++i)
    (past(0.5 * (low + high)) < 100 * bone_share ? low : high) = 0.5 * (low + high);
  return bench.size() * high;
}
} // namespace

std::vector<PointForce> RigBench::forces(double size) const
{
  std::vector<PointForce> all = unit;
  for (PointForce &load : all)
    load.force_n *= size, load.moment_nmm *= size;
  return all;
}

RigAnswer solve_rig(const RigBench &bench, ConstructModel &model)
{
  RigAnswer answer;
  if (bench.rig.kind == "axial")
  {
    answer.low_size = bench.rig.force_low_n;
    solved(model, bench, answer.low_size);
    answer.low_displacement = conjugate(bench, model);
  }
  answer.size = bench.size();
  answer.state = solved(model, bench, answer.size);
  answer.displacement = conjugate(bench, model);
  answer.far_closing_mm = far_closing(bench, model);
  const SegmentTurn turn(model.elasticity());
  answer.turn_rad = turn.rotation(model.displacement(), 0) - turn.rotation(model.displacement(), 1);
  add_peaks(bench, answer);
  add_shafts(bench, answer);
  std::stable_sort(answer.damage.begin(), answer.damage.end(), [](const RigDamage &a, const RigDamage &b) { return a.size < b.size; });
  answer.bone_limit_size = bone_limit(bench, model);
  return answer;
}

double RigCollapse::failure() const
{
  double least = push.solve.collapsed ? reached : 0;
  for (const double limit : {fracture, bone_limit})
    if (limit > 0 && (least == 0 || limit < least))
      least = limit;
  return least;
}

RigCollapse push_rig(const RigBench &bench, const CutLaw &law, bool open_cut, const std::vector<double> &factors, bool to_first_limit)
{
  CollapseCase setup{bench.specimen.construct, bench.specimen.anatomy.hock_centre, bench.materials, law, open_cut, false, {}, {}};
  setup.bone_laws = bone_laws(bench.specimen.construct.mesh, bench.specimen.anatomy, bench.specimen.levelling, bench.materials);
  PlasticOptions options;
  options.factors = factors;
  options.smallest_step = 0.02 * factors.back();
  options.most_iterations = push_iterations;
  bool is_broken = false;
  options.enough = [&] { return to_first_limit && is_broken; };
  RigCollapse c{push_to_collapse(setup, bench.forces(bench.size()), options,
                                 [&](const CollapseStep &step) { is_broken = is_broken || step.broken(); })};
  c.first_yield = bench.size() * c.push.first_yield_factor;
  c.fracture = bench.size() * c.push.fracture_factor;
  c.bone_limit = bench.size() * c.push.bone_limit_factor;
  c.reached = bench.size() * c.push.solve.load_factor_reached;
  return c;
}

std::vector<double> push_factors(double largest)
{
  std::vector<double> factors;
  for (double f = 0.5; f < largest - 1e-9; f += 0.5)
    factors.push_back(f);
  factors.push_back(largest);
  return factors;
}

double f382_bending_stiffness(double stiffness, double h, double k) { return stiffness * h * h * (2 * h + 3 * k) / 12; }
} // namespace stifle::solver
