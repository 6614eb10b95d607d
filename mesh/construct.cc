#include "mesh/construct.h"
#include "mesh/bone_lofts.h"
#include "mesh/collapse.h"
#include "mesh/finish_construct.h"
#include "mesh/gmsh_mesh.h"
#include "mesh/user_holes.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::mesh
{
namespace
{
constexpr double merge_below = 0.15, merge_part = 0.4; // slivers at the cut: merged edges stay below 0.4 bone sizes

std::vector<std::string> part_order(const Scenario &scenario, const Levelling &levelling, const ImplantFit &fit)
{
  if (!levelling.cut)
    return {"cortex_distal", "cancellous_distal"};
  std::vector<std::string> order = {"cortex_proximal", "cancellous_proximal", "cortex_distal", "cancellous_distal", "plate"};
  for (const ScrewFit &k : fit.screws)
    order.push_back(k.name);
  if (scenario.rig.kind == "pull_out")
    order.erase(std::find(order.begin(), order.end(), "plate"));
  return order;
}

double area(const TetMesh &mesh, const Triangle &t)
{
  const Vector3 &a = mesh.points[t[0]];
  return 0.5 * (mesh.points[t[1]] - a).cross(mesh.points[t[2]] - a).norm();
}

/// Caudal end of the cut in the sagittal plane, on one side: a node there belongs to the caudal edge of the bone.
Vector3 caudal_end(const TetMesh &mesh, const Levelling &levelling, unsigned component)
{
  double best = -1e300;
  Vector3 end = Vector3::Constant(std::nan(""));
  for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
    for (const unsigned v : mesh.tetrahedra[t])
    {
      const Vector3 p = mesh.points[v] - levelling.centre;
      if (mesh.component[mesh.part[t]] != component || std::abs(p.y()) > 1e-6 ||
          std::abs(std::hypot(p.x(), p.z()) - levelling.radius_mm) > 1e-5)
        continue;
      if (const double angle = std::atan2(-p.x(), -p.z()); angle > best)
        best = angle, end = mesh.points[v];
    }
  return end;
}

/// Distance between the two nodes that were one before the proximal segment turned.
double measure_chord(const TetMesh &mesh, const Levelling &levelling)
{
  return (caudal_end(mesh, levelling, 0) - caudal_end(mesh, levelling, 1)).norm();
}

/// Plateau angle and chord from the mesh alone: fitted plane of the plateau against the axis from hock to moved origin.
void measure(ConstructMesh &c, const Anatomy &anatomy, const Levelling &levelling)
{
  for (const FacePair &p : c.mesh.cut)
    c.cut_area_mm2 += area(c.mesh, p.a);
  c.chord_mm = levelling.cut ? measure_chord(c.mesh, levelling) : 0;
  const Surface *plateau = c.mesh.find_surface("plateau");
  if (!plateau || plateau->triangles.empty())
    throw Error("mesh: no face lies on the plateau");
  Vector3 normal = Vector3::Zero();
  for (const Triangle &t : plateau->triangles)
  {
    const Vector3 &a = c.mesh.points[t[0]];
    normal += (c.mesh.points[t[1]] - a).cross(c.mesh.points[t[2]] - a);
  }
  const Vector3 chord = Vector3::UnitY().cross(normal).normalized(); // in the plane, across y, cranial
  const Vector3 axis = (levelling.moved(Vector3::Zero()) - anatomy.hock_centre).normalized();
  c.plateau_angle_rad = std::asin(std::clamp(chord.dot(axis), -1.0, 1.0));
}
} // namespace

/// What the stress part takes simpler than the scenario says.
static void add_implant_warnings(ConstructMesh &c, const Scenario &scenario)
{
  if (scenario.plate.bone_contact != "none" && c.mesh.plate_contact.empty())
    c.warnings.push_back("plate: touches the bone nowhere, so nothing presses; a larger plate.contact_depth_mm may do");
}

static ConstructMesh mesh_in_session(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling,
                                     const std::vector<SizePoint> &finer)
{
  ConstructCad cad = build_cad(scenario, anatomy, levelling);
  cad.steps.insert(cad.steps.end(), finer.begin(), finer.end());
  generate(scenario, cad);
  TetMesh joined = read_mesh(cad.part_of_volume, part_order(scenario, levelling, cad.fit));
  unsigned n_merged = 0;
  if (levelling.cut)
    n_merged = collapse_slivers(joined, levelling, merge_below, merge_part * scenario.mesh.bone_size_mm);
  ConstructMesh c = finish_construct(std::move(joined), cad.fit, radians(scenario.plate.inclination_deg), anatomy, levelling);
  c.n_merged = n_merged;
  measure(c, anatomy, levelling);
  if (levelling.cut)
    add_implant_warnings(c, scenario);
  if (levelling.cut && levelling.rotation_rad > levelling.safe_rotation_rad)
    c.warnings.push_back(
        fmt::format("levelling: rotation of {:.1f} deg passes the safe point at {:.1f} deg: the cranial edge of the "
                    "plateau segment drops below the tendon insertion",
                    degrees(levelling.rotation_rad), degrees(levelling.safe_rotation_rad)));
  return c;
}

static std::string slope_words(const Levelling &levelling)
{
  return fmt::format("at a target plateau angle of {:g} deg", degrees(levelling.target_angle_rad));
}

/// The saw of the mesh is a cylinder.
static void require_arc(const Levelling &levelling)
{
  if (levelling.cut && levelling.shape != CutShape::arc)
    throw Error("mesh: only a bone cut by an arc can be meshed with its plate; a wedge is solved in the joint alone");
}

ConstructMesh mesh_construct(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling,
                             const std::vector<SizePoint> &finer)
{
  require_arc(levelling);
  return in_session(slope_words(levelling), [&] { return mesh_in_session(scenario, anatomy, levelling, finer); });
}

std::vector<std::string> check_construct(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling)
{
  require_arc(levelling);
  if (!levelling.cut)
    return {};
  return in_session(slope_words(levelling),
                    [&]
                    {
                      std::optional<UserPlate> user;
                      if (scenario.plate.file)
                        user = read_user_plate(scenario);
                      const ImplantFit fit = fit_implants(scenario, anatomy, levelling, sample_skin(loft_skin(scenario, anatomy)),
                                                          user ? &*user : nullptr);
                      return user ? list_holes(scenario, fit, user->placement) : std::vector<std::string>();
                    });
}
} // namespace stifle::mesh
