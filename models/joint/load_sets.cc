#include "models/core/error.h"
#include "models/joint/joint.h"

namespace stifle
{
StanceLoad set_load(const Scenario &scenario, const OperatedAnatomy &bone, LoadSet set, double stifle_angle_rad, double force_n)
{
  if (set == LoadSet::stance)
    throw Error("the load of the set stance comes from stance_load");
  const Anatomy &a = bone.anatomy;
  StanceLoad load;
  load.activity = to_string(set);
  load.stifle_angle_rad = stifle_angle_rad;
  load.has_muscle = false;
  load.gastrocnemius_share = scenario.limb.gastrocnemius_share;
  load.hock_centre = set == LoadSet::axial ? Vector3(0, 0, -a.tibia_length_mm) : a.hock_centre; // on the functional axis
  load.centre_of_pressure = load.hock_centre;
  load.toe_joint = load.hock_centre;
  load.calcaneus_tip = load.hock_centre;
  load.foot_centre = load.hock_centre;
  load.crus_centre = a.crus_centre_of_mass;
  // axial: along the functional axis, through the intercondylar point of the operated bone. press and tendon are turned
  // in the pose towards hip or along the tendon: only their size is read from here.
  Vector3 along = bone.plateau_origin - Vector3(0, 0, -a.tibia_length_mm);
  along.y() = 0;
  load.ground_force = force_n * along.normalized();
  return load;
}
} // namespace stifle
