#include "solver/plastic_construct.h"
#include "models/core/error.h"
#include "models/parts/part_name.h"
#include "solver/construct_results.h"
#include "solver/patch_load.h"
#include "solver/support_springs.h"
#include <algorithm>

namespace stifle::solver
{
namespace
{
PlasticMaterial part_material(const std::string &part, const CollapseCase &setup)
{
  const Material &material = material_of(part, setup.materials);
  if (is_metal(part))
    return metal(material, elongation_at_break(material.name));
  return {material.modulus_mpa, material.poisson_ratio, setup.bone_flows ? material.yield_mpa : 0, 0, material.yield_mpa};
}

std::vector<PlasticMaterial> part_materials(const CollapseCase &setup)
{
  std::vector<PlasticMaterial> list;
  for (const std::string &part : setup.construct.mesh.parts)
    list.push_back(part_material(part, setup));
  return list;
}

std::vector<IsotropicMaterial> elastic_materials(const std::vector<PlasticMaterial> &materials)
{
  std::vector<IsotropicMaterial> list;
  for (const PlasticMaterial &m : materials)
    list.push_back({m.modulus_mpa, m.poisson_ratio});
  return list;
}

void add_pins(const Elasticity &e, std::vector<LinearSpring> &springs)
{
  double stiffest = 0;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    stiffest = std::max(stiffest, e.material(c).modulus_mpa);
  for (const NodeSpring &pin : rigid_pins(e.mesh()))
    springs.push_back({{pin.node}, stiffest * pin.stiffness});
}

Vector balanced_force(const CollapseCase &setup, const Elasticity &e, const Patch &talar, const std::vector<PointForce> &forces)
{
  Vector nodal = landmark_forces(e, forces);
  const Resultant sum = resultant_of(e, nodal, setup.hock_centre);
  if (!nodal.allFinite() || !(nodal.norm() > 0))
    throw Error("construct: a push to collapse needs finite loads that are not all zero");
  add_resultant(e, talar, -sum.force_n, -sum.moment_nmm, setup.hock_centre, nodal);
  return nodal;
}

// Factor of the first passing of `limit` on the way up, linear between steps (the first starts at zero).
template <class Value> double passing(const std::vector<CollapseStep> &steps, double limit, Value value)
{
  double factor = 0, before = 0;
  for (const CollapseStep &step : steps)
  {
    if (value(step) >= limit && value(step) > before)
      return factor + (step.factor - factor) * (limit - before) / (value(step) - before);
    factor = step.factor;
    before = value(step);
  }
  return 0;
}

// The support of ConstructModel is a mean of the talar patch, here it is six springs at three nodes: both carry nothing, so the
// two displacements differ by a rigid motion, which the springs tell.
Vector on_pins(const Elasticity &e, const Vector &u)
{
  using Matrix6 = Eigen::Matrix<double, 6, 6>;
  Matrix6 k = Matrix6::Zero();
  Eigen::Matrix<double, 6, 1> f = Eigen::Matrix<double, 6, 1>::Zero();
  const auto motion = [&](std::size_t node)
  {
    const Vector3 &x = e.nodes()[node];
    Eigen::Matrix<double, 3, 6> m;
    m << Matrix3::Identity(), (Matrix3() << 0, x.z(), -x.y(), -x.z(), 0, x.x(), x.y(), -x.x(), 0).finished();
    return m; // displacement d + w x x of (d, w)
  };
  for (const NodeSpring &pin : rigid_pins(e.mesh()))
  {
    const auto m = motion(pin.node);
    k += m.transpose() * pin.stiffness * m;
    f -= m.transpose() * pin.stiffness * u.segment<3>(3 * pin.node);
  }
  const Eigen::Matrix<double, 6, 1> rigid = k.fullPivLu().solve(f);
  Vector moved = u;
  for (std::size_t n = 0; n < e.n_nodes(); ++n)
    moved.segment<3>(3 * n) += motion(n) * rigid;
  return moved;
}

CollapseStep row_of(const Elasticity &e, const PlasticStep &step, const CollapseCase &setup,
                    std::pair<double, double> drift_and_bone)
{
  CollapseStep row{step.factor, drift_and_bone.first, 0, 0, 0, drift_and_bone.second};
  for (std::size_t p = 0; p < step.parts.size(); ++p)
  {
    const std::string &name = e.mesh().parts[p];
    if (!is_metal(name))
      continue;
    row.plastic_volume_mm3 += step.parts[p].plastic_volume_mm3;
    row.peak_plastic_strain = std::max(row.peak_plastic_strain, step.parts[p].peak_strain);
    row.elongation_used =
        std::max(row.elongation_used, step.parts[p].peak_strain / elongation_at_break(material_of(name, setup.materials).name));
  }
  return row;
}
} // namespace

double bone_yield_use(const Elasticity &e, const Vector &u, std::size_t cell, const Eigen::Vector4d &barycentric)
{
  const auto s = e.stress(u, cell, barycentric); // Hooke's of the whole strain: taken back to strain
  const Matrix3 strain = matrix_of_strain(e.strain_of(cell, Eigen::Map<const Voigt>(s.data())));
  const Vector3 principal = Eigen::SelfAdjointEigenSolver<Matrix3>(strain, Eigen::EigenvaluesOnly).eigenvalues();
  return std::max(principal(2) / bone_yield_strain_tension, -principal(0) / bone_yield_strain_compression);
}

BoneUse::BoneUse(const Elasticity &e, const Vector &u)
{
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    const unsigned part = e.mesh().part[c], segment = e.mesh().component.at(part);
    if (segment > 1 || !is_cortex(e.mesh().parts[part]))
      continue;
    volume_[segment] += e.volume(c);
    for (const Eigen::Vector4d &q : plastic_points())
      points_[segment].push_back({bone_yield_use(e, u, c, q), e.volume(c) / 4});
  }
}

double BoneUse::past_yield_percent(double factor) const
{
  double percent = 0;
  for (int segment = 0; segment < 2; ++segment)
  {
    double past = 0;
    for (const Point &point : points_[segment])
      if (factor * point.use > 1)
        past += point.volume;
    if (volume_[segment] > 0)
      percent = std::max(percent, 100 * past / volume_[segment]);
  }
  return percent;
}

double elongation_at_break(const std::string &material)
{
  for (const auto &[name, elongation] : {std::pair<const char *, double>{"steel_316l_annealed", 0.40}, // read, S53
                                         {"steel_316l_cold_worked", 0.12},                             // read, S53
                                         {"ti_6al_4v", 0.10},                                          // memory
                                         {"cp_ti_grade_4", 0.15}})                                     // memory
    if (material == name)
      return elongation;
  throw Error("material " + material + " has no elongation at break, which plastic flow needs");
}

double first_yield_factor(const CollapseCase &setup, const Elasticity &e, const Vector &u)
{
  double worst = 0;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    if (const std::string &part = e.mesh().parts[e.mesh().part[c]]; is_metal(part))
      for (const Eigen::Vector4d &q : plastic_points())
        worst = std::max(worst, von_mises(e.stress(u, c, q)) / material_of(part, setup.materials).yield_mpa);
  return worst > 0 ? 1 / worst : 0;
}

void check_push(const CollapseCase &setup)
{
  if (setup.materials.bonded_threads)
    throw Error("construct: a push to collapse does not know tied threads");
  const mesh::TetMesh &mesh = setup.construct.mesh;
  if (!mesh.plate_contact.empty() || !mesh.seats.empty())
    throw Error("construct: a push to collapse knows neither plain heads nor a plate that presses on the bone");
}

CollapseResult push_to_collapse(const CollapseCase &setup, const std::vector<PointForce> &forces, const PlasticOptions &options,
                                const std::function<void(const CollapseStep &)> &watch)
{
  check_push(setup);
  const mesh::TetMesh &mesh = setup.construct.mesh;
  const auto materials = part_materials(setup);
  const Elasticity e(mesh, elastic_materials(materials), setup.bone_laws);
  const Patch talar = make_patch(mesh, support_of(mesh));
  const CutFaces cut(e);
  PlasticProblem problem{e, materials, {}, balanced_force(setup, e, talar, forces), {}, nullptr, setup.law};
  if (!setup.open_cut && !cut.empty())
    problem.cut = &cut;
  for (const ThreadFace &t : thread_faces(e, with_own_threads(setup.materials, setup.construct)))
    problem.springs.push_back({{t.nodes.begin(), t.nodes.end()}, thread_stiffness(t.stiffness_area)});
  add_pins(e, problem.springs);
  const SegmentTurn turn(e);
  CollapseResult result;
  PlasticOptions with_rows = options;
  if (setup.elastic.size() > 0)
    with_rows.start = on_pins(e, setup.elastic);
  with_rows.on_step = [&](const PlasticStep &step, const Vector &u)
  {
    const CollapseStep row = row_of(e, step, setup, {turn.plateau_drift_deg(u), BoneUse(e, u).past_yield_percent()});
    const bool has_flowed = !result.steps.empty() && result.steps.back().plastic_volume_mm3 > 0;
    if (!has_flowed && row.plastic_volume_mm3 == 0) // the last one counts: a gap that closes is not linear
      result.first_yield_factor = step.factor * first_yield_factor(setup, e, u);
    result.steps.push_back(row);
    if (watch)
      watch(row);
    if (options.on_step)
      options.on_step(step, u);
  };
  result.solve = solve_plastic(problem, with_rows);
  result.fracture_factor = passing(result.steps, 1, [](const CollapseStep &s) { return s.elongation_used; });
  result.bone_limit_factor =
      passing(result.steps, 100 * bone_share, [](const CollapseStep &s) { return s.bone_past_yield_percent; });
  return result;
}
} // namespace stifle::solver
