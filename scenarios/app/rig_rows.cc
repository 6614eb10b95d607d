#include "scenarios/app/rig_tier.h"

namespace stifle::app
{
namespace
{
class Rows
{
public:
  explicit Rows(const solver::RigBench &bench) : bench_(bench) {}
  std::vector<RigRow> all;

  void add(const std::string &quantity, double value, const std::string &unit, const std::string &part = "",
           std::optional<Vector3> place = std::nullopt)
  {
    all.push_back({degrees(bench_.specimen.levelling.achieved_angle_rad), quantity, value, unit, part, place});
  }
  void stiffness(const solver::RigAnswer &a)
  {
    const bool turns = bench_.turns();
    add("load", a.size, turns ? "N mm" : "N");
    if (a.low_size > 0)
    {
      add("lower load", a.low_size, "N");
      add("displacement at the lower load", a.low_displacement, "mm");
    }
    if (bench_.rig.kind == "tendon_pull") // its forces spread over the joint: no travel of the tendon
      return;
    add(turns ? "turn at the load" : "displacement at the load", turns ? degrees(a.displacement) : a.displacement, turns ? "deg" : "mm");
    add("stiffness", turns ? a.stiffness() / 1000 : a.stiffness(), turns ? "N m/rad" : "N/mm");
    const RigParameters &p = bench_.rig;
    if (p.kind == "four_point_bending" && p.used_specimen() == "plate")
      add("bending stiffness (F382)", solver::f382_bending_stiffness(a.stiffness(), p.span_mm, p.centre_span_mm) / 1e6, "N m2");
    if (p.kind == "four_point_bending" && p.used_specimen() == "tubes" && a.far_closing_mm > 0)
      add("load at which the far walls touch", a.size * p.gap_mm / a.far_closing_mm, "N");
  }
  void cut(const solver::RigAnswer &a)
  {
    if (bench_.specimen.construct.mesh.cut.empty())
      return;
    add("plateau drift", a.state.cut.plateau_drift_deg, "deg");
    add("cut in contact", a.state.cut.contact_percent, "%");
    if (a.state.cut.load_percent_valid)
      add("load through bone", a.state.cut.load_through_bone_percent, "%");
  }
  void damage(const solver::RigAnswer &a)
  {
    const std::string unit = bench_.turns() ? "N mm" : "N";
    for (const std::string what : {"yield", "shaft", "bone strain"})
      for (const solver::RigDamage &d : a.damage)
        if (d.what == what)
        {
          add(what == "yield" ? "first yield (peak)" : what == "shaft" ? "first yield of a screw shaft at the bone" : "first bone strain limit",
              d.size, unit, d.part, d.place_mm);
          break;
        }
    if (!a.damage.empty())
      add("first damage", a.damage.front().size, unit, a.damage.front().part, a.damage.front().place_mm);
    if (a.bone_limit_size > 0)
      add("bone limit, elastic", a.bone_limit_size, unit);
  }
  void push(const solver::RigCollapse &c)
  {
    const std::string unit = bench_.turns() ? "N mm" : "N";
    add("push: load reached", c.reached, unit, c.push.solve.collapsed ? "collapsed" : c.push.solve.reason.empty() ? "still standing" : "ended early");
    const std::pair<const char *, double> limits[] = {{"push: metal first flows", c.first_yield},
                                                      {"push: elongation at break used up", c.fracture},
                                                      {"push: bone limit", c.bone_limit},
                                                      {"push: failure", c.failure()}};
    for (const auto &[name, load] : limits)
      if (load > 0)
        add(name, load, unit);
  }

private:
  const solver::RigBench &bench_;
};
} // namespace

std::vector<RigRow> rig_rows(const solver::RigBench &bench, const solver::RigAnswer &answer, const std::optional<solver::RigCollapse> &push)
{
  Rows rows(bench);
  rows.stiffness(answer);
  rows.cut(answer);
  rows.damage(answer);
  if (push)
    rows.push(*push);
  return std::move(rows.all);
}
} // namespace stifle::app
