#include "scenarios/app/margin_bands.h"
#include "models/core/error.h"
#include "models/margins/yield.h"
#include "models/study/margin_inputs.h"
#include "scenarios/app/state_margins.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
/// Ratios drawn / nominal of one value over the states that were solved again.
struct MeanRatio
{
  double sum = 0;
  int    number = 0;
  void   take(double drawn, double nominal)
  {
    if (nominal > 0)
    {
      sum += drawn / nominal;
      ++number;
    }
  }
  double value() const { return number > 0 ? sum / number : 1; }
};

class BandSampling
{
public:
  BandSampling(const Scenario &scenario, const SlopeResult &slope, const Draws &draws, const SolveDrawn &solve)
    : scenario_(scenario), slope_(slope), draws_(draws), solve_(solve), chosen_(least_states(scenario, slope)),
      rows_(chosen_.size(), std::vector<std::optional<StateRow>>(draws.size())), failures_(draws.size())
  {}

  std::vector<MarginBand> run()
  {
    for (std::size_t s = 0; s < chosen_.size(); ++s)
      band_state(s);
    band_fatigue();
    return std::move(bands_);
  }

private:
  struct Key
  {
    std::string part, mode;
    Gathered    gathered;
  };
  static void add(std::vector<Key> &keys, const std::vector<PlacedMargin> &drawn, const Failure &failure)
  {
    for (Key &key : keys)
    {
      double use = not_found;
      for (const PlacedMargin &placed : drawn)
        if (placed.margin.part == key.part && placed.margin.mode == key.mode)
          use = placed.margin.demand / placed.margin.capacity;
      key.gathered.add(use, failure);
    }
  }
  static std::vector<Key> keys_of(const std::vector<PlacedMargin> &nominal)
  {
    std::vector<Key> keys;
    for (const PlacedMargin &placed : nominal)
      keys.push_back({placed.margin.part, placed.margin.mode, {}});
    return keys;
  }

  void band_state(std::size_t s)
  {
    const StateRow  &nominal = slope_.states[chosen_[s]];
    std::vector<Key> keys    = keys_of(state_margins(scenario_, slope_, nominal));
    for (std::size_t i = 0; i < draws_.size(); ++i)
    {
      const SampledDog          dog = draws_.dog(i);
      std::vector<PlacedMargin> drawn;
      Failure                   failure;
      try
      {
        rows_[s][i] = solve_(dog, nominal);
        drawn       = state_margins(dog.scenario, slope_, *rows_[s][i], {dog.strengths, dog.callus_shift});
      }
      catch (const Error &error)
      {
        failure = failures_[i] = {error.what(), false};
      }
      add(keys, drawn, failure);
    }
    for (std::size_t k = 0; k < slope_.states.size(); ++k)
      if (origin(k) == chosen_[s])
        keep(keys, &slope_.states[k]);
  }

  void keep(const std::vector<Key> &keys, const StateRow *state)
  {
    for (const Key &key : keys)
    {
      const Spread spread = key.gathered.spread(largest_failed_part);
      MarginBand   band;
      if (state)
      {
        band.week     = state->week;
        band.activity = state->activity;
        band.percent  = state->percent;
      }
      band.part    = key.part;
      band.mode    = key.mode;
      band.samples = spread.samples;
      band.failed  = spread.failed;
      band.reason  = spread.reason;
      if (spread.high && *spread.high > 0)
        band.low = 1 / *spread.high;
      if (spread.low && *spread.low > 0)
        band.high = 1 / *spread.low;
      bands_.push_back(band);
    }
  }

  std::size_t origin(std::size_t state) const
  {
    const int copy_of = slope_.states[state].copy_of;
    return copy_of < 0 ? state : static_cast<std::size_t>(copy_of);
  }

  void band_fatigue()
  {
    if (slope_.states.empty() || !(slope_.states.back().week > slope_.states.front().week))
      return;
    const Diary      diary = diary_of(scenario_);
    std::vector<Key> keys  = keys_of(fatigue_margins(scenario_, diary, slope_.states));
    for (std::size_t i = 0; i < draws_.size(); ++i)
    {
      std::vector<PlacedMargin> drawn;
      if (failures_[i].reason.empty())
        drawn = fatigue_margins(scenario_, diary, drawn_states(i), draws_.dog(i).strengths);
      add(keys, drawn, failures_[i]);
    }
    keep(keys, nullptr);
  }

  /// All states of one draw: solved ones as they are, the others scaled part by part.
  std::vector<StateRow> drawn_states(std::size_t sample) const
  {
    std::vector<StateRow> states = slope_.states;
    const ConstructState &first  = states.front().state;
    Ratios                ratios(first);
    for (std::size_t s = 0; s < chosen_.size(); ++s)
      take_ratios(rows_[s][sample]->state, slope_.states[chosen_[s]].state, first, ratios);
    for (std::size_t k = 0; k < states.size(); ++k)
    {
      const auto solved = std::find(chosen_.begin(), chosen_.end(), origin(k));
      if (solved != chosen_.end())
        states[k].state = rows_[solved - chosen_.begin()][sample]->state;
      else
        scale(states[k].state, first, ratios);
    }
    return states;
  }

  struct Ratios ///< per peak and per shaft of the first state
  {
    explicit Ratios(const ConstructState &first)
      : stress(first.peaks.size()), strain(first.peaks.size()), shaft(first.shafts.size())
    {}
    std::vector<MeanRatio> stress, strain, shaft;
  };
  template <class Rows> static auto find(Rows &rows, const typename Rows::value_type &like) -> decltype(rows.data())
  {
    for (auto &row : rows)
      if (same(row, like))
        return &row;
    return nullptr;
  }
  static bool same(const PartPeak &a, const PartPeak &b) { return a.part == b.part && a.excluded == b.excluded; }
  static bool same(const ScrewShaft &a, const ScrewShaft &b) { return a.screw == b.screw; }

  static void take_ratios(const ConstructState &drawn, const ConstructState &nominal, const ConstructState &first, Ratios &r)
  {
    for (std::size_t p = 0; p < first.peaks.size(); ++p)
    {
      const PartPeak *a = find(drawn.peaks, first.peaks[p]), *b = find(nominal.peaks, first.peaks[p]);
      if (!a || !b)
        continue;
      r.stress[p].take(a->principal_mpa, b->principal_mpa);
      r.strain[p].take(a->tension_strain, b->tension_strain);
    }
    for (std::size_t p = 0; p < first.shafts.size(); ++p)
      if (const ScrewShaft *a = find(drawn.shafts, first.shafts[p]), *b = find(nominal.shafts, first.shafts[p]); a && b)
        r.shaft[p].take(a->principal_mpa, b->principal_mpa);
  }

  static void scale(ConstructState &state, const ConstructState &first, const Ratios &r)
  {
    for (std::size_t p = 0; p < first.peaks.size(); ++p)
      if (PartPeak *peak = find(state.peaks, first.peaks[p]))
      {
        peak->principal_mpa *= r.stress[p].value();
        peak->tension_strain *= r.strain[p].value();
      }
    for (std::size_t p = 0; p < first.shafts.size(); ++p)
      if (ScrewShaft *shaft = find(state.shafts, first.shafts[p]))
        shaft->principal_mpa *= r.shaft[p].value();
  }

  const Scenario                                   &scenario_;
  const SlopeResult                                &slope_;
  const Draws                                      &draws_;
  const SolveDrawn                                 &solve_;
  std::vector<std::size_t>                          chosen_;
  std::vector<std::vector<std::optional<StateRow>>> rows_; ///< [chosen state][draw]
  std::vector<Failure>                              failures_; ///< per draw: the last one
  std::vector<MarginBand>                           bands_;
};
} // namespace

std::vector<std::size_t> least_states(const Scenario &scenario, const SlopeResult &slope, std::size_t number)
{
  std::vector<std::pair<double, std::size_t>> use; ///< minus the largest demand over capacity, so that the worst comes first
  for (std::size_t k = 0; k < slope.states.size(); ++k)
  {
    if (slope.states[k].copy_of >= 0)
      continue;
    double largest = 0;
    for (const PlacedMargin &placed : state_margins(scenario, slope, slope.states[k]))
      largest = std::max(largest, placed.margin.demand / placed.margin.capacity);
    use.emplace_back(-largest, k);
  }
  std::sort(use.begin(), use.end());
  std::vector<std::size_t> states;
  for (std::size_t i = 0; i < std::min(number, use.size()); ++i)
    states.push_back(use[i].second);
  return states;
}

Draws margin_draws(const Scenario &scenario, const std::vector<Activity> &activities, const std::vector<UncertainInput> *inputs)
{
  Scenario drawn      = scenario;
  drawn.study.samples = std::min(scenario.study.samples, scenario.study.margin_samples);
  const std::vector<UncertainInput> own = margin_inputs(scenario);
  return Draws(drawn, activities, inputs ? inputs : &own);
}

std::vector<MarginBand> sample_margins(const Scenario &scenario, const SlopeResult &slope, const Draws &draws, const SolveDrawn &solve)
{
  if (draws.size() == 0)
    return {};
  return BandSampling(scenario, slope, draws, solve).run();
}

std::string bands_sentence(const std::vector<MarginBand> &bands)
{
  std::size_t most = 0, empty = 0;
  std::string reason;
  for (const MarginBand &band : bands)
  {
    empty += !band.low;
    if (band.failed > most)
    {
      most   = band.failed;
      reason = band.reason;
    }
  }
  const std::size_t samples = bands.empty() ? 0 : bands.front().samples;
  return fmt::format("{} bands of margins from {} draws, {} left empty; failed of one state at most {}{}", bands.size(), samples, empty,
                     most, most ? ", most often: " + reason : "");
}
} // namespace stifle::app
