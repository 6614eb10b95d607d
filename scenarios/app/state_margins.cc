#include "scenarios/app/state_margins.h"
#include "models/healing/callus.h"
#include "models/parts/part_name.h"
#include "models/parts/screw_size.h"
#include <algorithm>
#include <functional>

namespace stifle::app
{
namespace
{
constexpr double microstrain = 1e6;

void add_peaks(const Scenario &scenario, const StateRow &state, std::vector<PlacedMargin> &all)
{
  for (const PartPeak &peak : state.state.peaks)
  {
    if (peak.excluded || peak.part.rfind("tube", 0) == 0) // tubes of a rig have no strength
      continue;
    all.push_back({yield_mode(peak.part, peak.von_mises_mpa, material_of(scenario, peak.part)), peak.place_mm});
    if (is_cortex(peak.part))
      all.push_back(
          {bone_strain_mode(peak.part, microstrain * peak.tension_strain, microstrain * peak.compression_strain), std::nullopt});
  }
}

void add_shafts(const Scenario &scenario, const StateRow &state, std::vector<PlacedMargin> &all)
{
  for (const ScrewShaft &shaft : state.state.shafts)
  {
    Margin margin = yield_mode(shaft.screw, shaft.von_mises_mpa, material_of(scenario, shaft.screw));
    margin.mode   = "shaft_yield";
    all.push_back({margin, shaft.place_mm});
  }
}

/// Thread of a screw: its row of sizes; an own one has the pitch of the 3.5 locking screw (construct.md 7, memory).
ScrewSize screw_of(const ScrewParameters &screws, const std::string &name)
{
  const std::size_t  hole = std::stoul(name.substr(name.find('_') + 1)) - 1;
  const std::string &size = screws.sizes[std::min(hole, screws.sizes.size() - 1)];
  if (size != "own")
    return find_screw_size(size);
  ScrewSize own = find_screw_size("locking_3.5");
  own.core_mm   = screws.core_mm;
  own.major_mm  = screws.major_mm;
  return own;
}

/// Near the joint the thread is credited with cancellous bone all along: the pull-out measured there (718 N, C16) needs no cortex,
/// and 2 mm of cortex on both sides would give four times that.
std::vector<ThreadBed> beds_of(const mesh::ScrewEngagement &hold)
{
  const ThreadHost cancellous = cancellous_host(find_material("cancellous_bone").modulus_mpa);
  if (hold.proximal)
    return {{cancellous, hold.cortex_mm + hold.cancellous_mm}};
  return {{cortical_host(), hold.cortex_mm}, {cancellous, hold.cancellous_mm}};
}

void add_screws(const Scenario &scenario, const SlopeResult &slope, const StateRow &state, std::vector<PlacedMargin> &all)
{
  for (const ScrewResult &screw : state.state.screws)
  {
    const mesh::ScrewEngagement *hold = slope.hold(screw.screw);
    if (!hold || !(hold->cortex_mm + hold->cancellous_mm > 0))
      continue;
    const ScrewSize size = screw_of(scenario.screws, screw.screw);
    all.push_back({pull_out_mode(screw.screw, screw.axial_n, size, beds_of(*hold)), std::nullopt});
    all.push_back({push_out_mode(screw.screw, screw.axial_n, size, beds_of(*hold)), std::nullopt});
  }
}

void add_limb(const Scenario &scenario, const SlopeResult &slope, const StateRow &state, double callus_shift,
              std::vector<PlacedMargin> &all)
{
  const double mass = scenario.dog.mass_kg;
  const auto   add  = [&](const Margin &margin) { all.push_back({margin, std::nullopt}); };
  if (slope.operated)
  {
    if (slope.tuberosity_width_mm > 0)
      add(tuberosity_mode(state.limb.patellar_tendon_n, slope.tuberosity_width_mm));
    add(cut_opening_mode(state.state.cut.gap_opening_max_mm, scenario.healing.gap_mm, callus_modulus_mpa(state.week, callus_shift)));
    add(plateau_drift_mode(state.state.cut.plateau_drift_deg));
  }
  add(caudal_cruciate_mode(state.limb.cruciate_caudal_n, mass));
  add(tendon_mode(state.limb.patellar_tendon_n, mass));
  add(whole_bone_mode(state.limb.hock_force_n));
}

/// One thing that tires: its value in a state, empty where the state does not have it.
struct Tiring
{
  std::string                                                   part, mode;
  std::function<std::optional<double>(const ConstructState &)> value; ///< MPa for metal, microstrain for bone
  std::optional<Vector3>                                        place_mm;
};

std::vector<Tiring> tiring_parts(const ConstructState &first)
{
  std::vector<Tiring> all;
  for (const PartPeak &peak : first.peaks)
  {
    const std::string &part = peak.part;
    if (peak.excluded || !(is_metal(part) || is_cortex(part)))
      continue;
    const auto value = [part](const ConstructState &s) -> std::optional<double>
    {
      const PartPeak *here = s.kept_peak(part);
      if (!here)
        return std::nullopt;
      return is_metal(part) ? here->principal_mpa : microstrain * here->tension_strain;
    };
    all.push_back({part, "fatigue", value, is_metal(part) ? std::optional(peak.principal_place_mm) : std::nullopt});
  }
  for (const ScrewShaft &shaft : first.shafts)
  {
    const std::string &screw = shaft.screw;
    const auto value = [screw](const ConstructState &s) -> std::optional<double>
    {
      const ScrewShaft *here = s.shaft(screw);
      return here ? std::optional(here->principal_mpa) : std::nullopt;
    };
    all.push_back({screw, "shaft_fatigue", value, shaft.place_mm});
  }
  return all;
}

std::vector<double> weeks_of(const std::vector<StateRow> &states)
{
  std::vector<double> weeks;
  for (const StateRow &state : states)
    if (weeks.empty() || state.week > weeks.back())
      weeks.push_back(state.week);
  return weeks;
}

/// Over the weeks, for each activity the diary counts: the largest over the instants.
std::vector<ActivityHistory> history_of(const std::vector<StateRow> &states, const std::vector<double> &weeks, const Diary &diary,
                                        const Tiring &what)
{
  std::vector<ActivityHistory> all;
  for (const StateRow &state : states)
  {
    const std::optional<double> value = what.value(state.state);
    if (!value || !diary.find(state.activity))
      continue;
    auto same = std::find_if(all.begin(), all.end(), [&](const ActivityHistory &h) { return h.activity == state.activity; });
    if (same == all.end())
    {
      all.push_back({state.activity, std::vector<double>(weeks.size(), 0), {}});
      same = all.end() - 1;
      for (const double week : weeks)
        same->loadings_per_day.push_back(diary.loadings_per_day(state.activity, week));
    }
    const std::size_t i = std::find(weeks.begin(), weeks.end(), state.week) - weeks.begin();
    same->largest[i] = std::max(same->largest[i], *value);
  }
  return all;
}

Margin bone_race(const std::string &part, const std::vector<double> &weeks, const std::vector<ActivityHistory> &history,
                 const StrengthDraw &strengths)
{
  const double  strength = log_normal_factor(bone_strength_cv, strengths.bone);
  const LifeLaw law      = bone_life_law(BoneSide::tension);
  return bone_fatigue_mode(part, fatigue_use(weeks, history, [=](double strain) { return law(strain / strength); }));
}
} // namespace

Material material_of(const Scenario &scenario, const std::string &part)
{
  if (is_plate(part))
    return find_material(scenario.plate.material);
  if (is_metal(part))
    return find_material(scenario.screws.material);
  return find_material(is_cortex(part) ? "cortical_bone" : "cancellous_bone");
}

std::vector<PlacedMargin> state_margins(const Scenario &scenario, const SlopeResult &slope, const StateRow &state,
                                        const MarginDraw &draw)
{
  std::vector<PlacedMargin> all;
  add_peaks(scenario, state, all);
  add_shafts(scenario, state, all);
  add_screws(scenario, slope, state, all);
  add_limb(scenario, slope, state, draw.callus_shift, all);
  for (PlacedMargin &placed : all)
    placed.margin.capacity = drawn_capacity(placed.margin, draw.strengths);
  return all;
}

std::vector<PlacedMargin> fatigue_margins(const Scenario &scenario, const Diary &diary, const std::vector<StateRow> &states,
                                          const StrengthDraw &strengths)
{
  std::vector<PlacedMargin> all;
  const std::vector<double> weeks = weeks_of(states);
  if (weeks.size() < 2)
    return all;
  for (const Tiring &what : tiring_parts(states.front().state))
  {
    const std::vector<ActivityHistory> history = history_of(states, weeks, diary, what);
    if (history.empty())
      continue;
    if (!is_metal(what.part))
    {
      all.push_back({bone_race(what.part, weeks, history, strengths), what.place_mm});
      continue;
    }
    const Material material = material_of(scenario, what.part);
    if (!(material.fatigue_limit_mpa > 0 && material.ultimate_mpa > 0))
      continue;
    const double spreads = what.part == "plate" ? strengths.plate_life : strengths.screw_life;
    Margin       margin  = fatigue_mode(what.part, fatigue_use(weeks, history, metal_life(material, spreads)), material);
    margin.mode          = what.mode;
    all.push_back({margin, what.place_mm});
  }
  return all;
}
} // namespace stifle::app
