#include "mesh/construct_cad.h"
#include "mesh/bone_lofts.h"
#include "mesh/implant_solids.h"
#include "mesh/saw_cut.h"
#include "mesh/user_plate.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>
#include <gmsh.h>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
class CadBuilder
{
public:
  CadBuilder(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling)
  {
    std::optional<UserPlate> user; // its reader wants an empty session
    if (levelling.cut && scenario.plate.file)
      user = read_user_plate(scenario);
    auto [outer, core] = loft_bone(scenario, anatomy);
    if (levelling.cut)
      cad.fit = fit_implants(scenario, anatomy, levelling, sample_skin(outer), user ? &*user : nullptr);
    outer = trim_plateau(outer, anatomy, 0);
    core = trim_plateau(core, anatomy, scenario.tibia.cortex_mm);
    if (!levelling.cut)
    {
      add(outer, "cortex_distal"), add(core, "cancellous_distal");
      fragment();
      return;
    }
    const double half = anatomy.tibia_length_mm;
    const Halves bone = saw(outer, "bone", levelling, half), inner = saw(core, "cancellous core", levelling, half);
    add(bone.proximal, "cortex_proximal"), add(inner.proximal, "cancellous_proximal");
    add(bone.distal, "cortex_distal"), add(inner.distal, "cancellous_distal");
    add(user ? user_implant_solids(cad.fit, user->solid) : implant_solids(cad.fit, scenario.plate, {bone.proximal, bone.distal}));
    fragment();
    if (user)
      check_users_plate(*user);
    if (scenario.rig.kind == "pull_out")
      drop("plate");
    cad.steps = size_steps(scenario.mesh.bone_size_mm, levelling);
  }
  CadBuilder(const NamedSolids &bones, const ImplantFit &fit, const PlateParameters &plate)
  {
    cad.fit = fit;
    add(bones);
    add(implant_solids(fit, plate, {}));
    fragment();
  }
  ConstructCad cad;

private:
  void add(int solid, const std::string &part)
  {
    inputs_.push_back(solid);
    names_.push_back(part);
  }

  void add(const NamedSolids &list)
  {
    for (const auto &[solid, part] : list)
      add(solid, part);
  }

  /// The plate keeps its volume, and every screw meets it.
  void check_users_plate(const UserPlate &user)
  {
    double volume = 0;
    std::map<std::string, std::set<int>> faces;
    for (const auto &[tag, part] : cad.part_of_volume)
    {
      gmsh::vectorpair boundary;
      gmsh::model::getBoundary({{3, tag}}, boundary, false, false, false);
      for (const auto &[dim, face] : boundary)
        faces[part].insert(face);
      if (part != "plate")
        continue;
      volume += volume_of(tag);
      cad.plate.insert({3, tag});
      for (const bool edges : {false, true})
      {
        if (edges)
          gmsh::model::getBoundary(gmsh::vectorpair(boundary), boundary, false, false, false);
        cad.plate.insert(boundary.begin(), boundary.end());
      }
    }
    if (std::abs(volume - user.volume_mm3) > 1e-3 * user.volume_mm3)
      throw Error(fmt::format("plate: {:.1f} of its {:.1f} mm3 are left beside bone and screws: the screws are wider than their holes, or "
                              "the plate lies in the bone",
                              volume, user.volume_mm3));
    for (const ScrewFit &k : cad.fit.screws)
      if (std::none_of(faces[k.name].begin(), faces[k.name].end(), [&](int f) { return faces["plate"].count(f) > 0; }))
        throw Error(fmt::format("{}: does not meet the wall of its hole in the plate (CAD failure)", k.name));
  }

  /// Later inputs win where solids overlap: core over cortex, screws over everything.
  void fragment()
  {
    gmsh::vectorpair out;
    std::vector<gmsh::vectorpair> map{solids(inputs_)};
    if (inputs_.size() > 1)
      occ::fragment(solids({inputs_[0]}), solids(Tags(inputs_.begin() + 1, inputs_.end())), out, map);
    std::map<int, int> owners; // how many inputs hold a piece
    for (std::size_t i = 0; i < inputs_.size(); ++i)
      for (const int tag : tags_of(map[i]))
        cad.part_of_volume[tag] = names_[i], ++owners[tag];
    drop_stubs(owners);
    occ::synchronize();
  }

  /// Pieces of a screw in no other solid are its length in the gap, its tip (both stay) and the stub outside the plate. A plain
  /// screw has no stub.
  void drop_stubs(const std::map<int, int> &owners)
  {
    for (auto it = cad.part_of_volume.begin(); it != cad.part_of_volume.end();)
    {
      const auto k =
          std::find_if(cad.fit.screws.begin(), cad.fit.screws.end(), [&](const ScrewFit &s) { return s.name == it->second; });
      double x, y = 0, z;
      if (k != cad.fit.screws.end())
        occ::getCenterOfMass(3, it->first, x, y, z);
      if (k != cad.fit.screws.end() && k->kind == HoleKind::locking && k->bore_mm == 0 && owners.at(it->first) == 1 && y > k->plate_y)
      {
        occ::remove({{3, it->first}}, true);
        it = cad.part_of_volume.erase(it);
      }
      else
        ++it;
    }
  }

  void drop(const std::string &part)
  {
    for (auto it = cad.part_of_volume.begin(); it != cad.part_of_volume.end();)
      if (it->second == part)
      {
        occ::remove({{3, it->first}}, true); // faces of the screws stay with them
        it = cad.part_of_volume.erase(it);
      }
      else
        ++it;
    occ::synchronize();
  }

  Tags inputs_;
  std::vector<std::string> names_;
};
} // namespace

ConstructCad build_cad(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling)
{
  return std::move(CadBuilder(scenario, anatomy, levelling).cad);
}

ConstructCad build_cad(const NamedSolids &bones, const ImplantFit &fit, const PlateParameters &plate)
{
  return std::move(CadBuilder(bones, fit, plate).cad);
}

double write_plate_step(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const std::string &file)
{
  const int bone = loft_skin(scenario, anatomy);
  ImplantFit fit = fit_implants(scenario, anatomy, levelling, sample_skin(bone));
  fit.open_holes.insert(fit.open_holes.end(), fit.screws.begin(), fit.screws.end());
  fit.screws.clear();
  const int plate = bored_plate(fit, scenario.plate);
  occ::remove(solids({bone}), true);
  occ::synchronize();
  gmsh::write(file);
  return volume_of(plate);
}
} // namespace stifle::mesh
