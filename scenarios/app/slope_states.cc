#include "scenarios/app/slope_states.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include "scenarios/app/cut_map.h"
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
StateRow row_at(double week, const std::string &activity, double percent)
{
  StateRow row;
  row.week     = week;
  row.activity = activity;
  row.percent  = percent;
  return row;
}

/// Foot on tibia. In space the gastrocnemius has two heads that turn with the femur: the foot is balanced in the pose.
Vector3 hock_force(const Subject &dog, const LoadedInstant &instant)
{
  if (dog.scenario.joint.dimension == 3)
    return instant.joint.hock_on_tibia;
  const Vector3 fabella =
      instant.joint.femur_origin + rotation_about_y(pi - instant.load.stifle_angle_rad) * dog.anatomy.gastrocnemius_origin;
  return foot_balance(instant.load, fabella, dog.anatomy.calcanean_origin).hock_on_tibia;
}
} // namespace

SlopeStates::SlopeStates(const ConstructPlan &plan, const Levelling &levelling, std::string name, solver::ConstructModel &model,
                         SlopeProgress &progress)
  : plan_(plan), levelling_(levelling), name_(std::move(name)), model_(model), progress_(progress), limb_use_(limb_use_of(plan.scenario)),
    learns_(plan.scenario.study.samples > 0 && plan.scenario.study.margin_samples > 0)
{
}

void SlopeStates::solve_week(const Subject &dog, double week, int threads, SlopeResult &result)
{
  const double      start = elapsed_seconds();
  std::vector<Slot> slots;
  for (const Activity &activity : plan_.activities)
    for (double percent : dog.scenario.study.stance_percent)
      slots.push_back(slot_of(dog, {week, percent, &activity}, slots, result));
  std::vector<solver::LoadStep> block;
  for (const Slot &slot : slots)
    if (slot.step >= 0)
      block.push_back({slot.instant->joint.on_tibia, slot.after});
  const std::vector<ConstructState> states = model_.solve_block(block, solver::cut_law(dog.scenario, week, dog.callus_shift),
                                                               {threads, learns_ ? solver::StressAt::learn : solver::StressAt::all});
  const double seconds = block.empty() ? 0 : (elapsed_seconds() - start) / static_cast<double>(block.size());
  for (Slot &slot : slots)
    try
    {
      take(slot, slots, dog, states, result);
      result.states[slot.row].seconds = slot.step >= 0 ? seconds : result.states[slot.row].seconds;
      progress_.solved_state(slot.step < 0);
    }
    catch (const Error &error)
    {
      ++failures_[error.what()];
      progress_.solved_state(false);
    }
}

SlopeStates::Slot SlopeStates::slot_of(const Subject &dog, Slot slot, const std::vector<Slot> &before, const SlopeResult &result) const
{
  const Activity &activity = *slot.activity;
  slot.equal_row           = equal_state(slot, result);
  int steps = 0;
  for (std::size_t k = 0; k < before.size(); ++k)
  {
    steps += before[k].step >= 0;
    if (before[k].activity != slot.activity)
      continue;
    if (activity.rows.size() == 1 && slot.equal_slot < 0 && before[k].failure.empty())
      slot.equal_slot = static_cast<int>(k);
    if (before[k].step >= 0 && loads_in_turn(dog.scenario, activity))
      slot.after = before[k].step;
  }
  if (slot.equal_row >= 0 || slot.equal_slot >= 0)
    return slot;
  try
  {
    slot.instant = loaded_instant(dog.scenario, dog.bone, activity, slot.percent, limb_use_.share.at(slot.week));
    require_pose(*slot.instant, activity, slot.percent);
    slot.step = steps;
  }
  catch (const Error &error)
  {
    slot.failure = error.what();
  }
  return slot;
}

void SlopeStates::take(Slot &slot, const std::vector<Slot> &slots, const Subject &dog, const std::vector<ConstructState> &states,
                       SlopeResult &result)
{
  if (!slot.failure.empty())
    throw Error(slot.failure);
  if (slot.step < 0)
  {
    const int of = slot.equal_row >= 0 ? slot.equal_row : slots[slot.equal_slot].row;
    if (of < 0)
      throw Error(slots[slot.equal_slot].failure);
    StateRow row = result.states[of];
    row.copy_of  = row.copy_of < 0 ? of : row.copy_of;
    row.week     = slot.week;
    row.percent  = slot.percent;
    result.states.push_back(row);
  }
  else
    try
    {
      result.states.push_back(row_of(dog, row_at(slot.week, slot.activity->name, slot.percent), *slot.instant, states[slot.step]));
      const StateRow &row = result.states.back();
      keep_larger_load(result.cut_maps, {row.week, row.activity, row.percent, row.limb.hock_force_n, model_.cut_map(slot.step)});
    }
    catch (const Error &error)
    {
      slot.failure = error.what();
      throw;
    }
  slot.row = static_cast<int>(result.states.size()) - 1;
}

int SlopeStates::equal_state(const Slot &slot, const SlopeResult &result) const
{
  for (std::size_t i = 0; i < result.states.size(); ++i)
    if (const StateRow &row = result.states[i];
        row.activity == slot.activity->name && (row.percent == slot.percent || slot.activity->rows.size() == 1) &&
        (row.week == slot.week || (!levelling_.cut && limb_use_.share.at(row.week) == limb_use_.share.at(slot.week))))
      return static_cast<int>(i);
  return -1;
}

void SlopeStates::require_pose(const LoadedInstant &instant, const Activity &activity, double percent) const
{
  if (!instant.joint.converged)
    throw Error(fmt::format("the joint did not converge: {}, {}, {} % of stance", name_, activity.name, percent));
}

StateRow SlopeStates::row_of(const Subject &dog, StateRow row, const LoadedInstant &instant, const ConstructState &state) const
{
  row.state = state;
  if (!row.state.converged)
    throw Error(fmt::format("the cut contact did not converge: {}, week {}, {}, {} % of stance, residual {:.2e}", name_,
                            row.week, row.activity, row.percent, row.state.contact_residual));
  row.limb = {instant.joint.patellar_tendon_n, instant.joint.cruciate_cranial_n, instant.joint.cruciate_caudal_n,
              instant.joint.hock_force_n};
  close(dog, instant, row);
  return row;
}

void SlopeStates::close(const Subject &dog, const LoadedInstant &instant, StateRow &row) const
{
  const Vector3 hock         = hock_force(dog, instant);
  const double  stifle_nmm   = std::abs(net_moments(instant.load, dog.anatomy, true).stifle_nmm);
  row.closure_force_percent  = 100 * (row.state.reaction_force_n - hock).norm() / hock.norm();
  row.closure_moment_percent = 100 * std::abs(row.state.reaction_moment_nmm.y()) / stifle_nmm;
  if (!(row.closure_force_percent < 1) || !(row.closure_moment_percent < 1))
    throw Error(fmt::format("the chain does not close: {}, {}, {} %: force {:.3f} %, moment {:.3f} % (allowed 1 %)", name_,
                            row.activity, row.percent, row.closure_force_percent, row.closure_moment_percent));
}

StateRow SlopeStates::solve_drawn(const Subject &dog, const Activity &activity, const StateRow &nominal)
{
  const auto instants = stance_path(dog.scenario, dog.bone, activity, nominal.percent, limb_use_.share.at(nominal.week));
  require_pose(instants.back(), activity, nominal.percent);
  const ConstructState state = model_.solve_block(load_path(instants), solver::cut_law(dog.scenario, nominal.week, dog.callus_shift),
                                                  {1, solver::StressAt::candidates}).back();
  return row_of(dog, row_at(nominal.week, nominal.activity, nominal.percent), instants.back(), state);
}
} // namespace stifle::app
