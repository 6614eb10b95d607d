#include "models/limb/opposite.h"

#include "models/core/error.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace stifle
{
namespace
{
using Curve = std::vector<std::pair<double, double>>; // week, ratio

constexpr double suture_over_levelling = 0.83 / 0.94; ///< symmetry at 4 months (abstract)

Curve scaled(Curve curve, double factor)
{
  for (auto &[week, ratio] : curve)
    ratio *= factor;
  return curve;
}

const std::map<std::string, Curve> &curves()
{
  static const double two_and_a_half_years = 2.5 * 365.25 / 7; // weeks
  static const Curve levelled = {{2, 0.40}, {4, 0.65}, {8, 0.80}, {16, 0.92}, {26, 0.96}};
  static const std::map<std::string, Curve> all = {{"none", {{2, 0.36}, {6, 0.46}, {12, 0.53}, {two_and_a_half_years, 0.71}}},
                                                   {"levelling", levelled},
                                                   {"wedge", levelled},
                                                   {"suture", scaled(levelled, suture_over_levelling)}};
  return all;
}

void check(const Redistribution &r)
{
  const double sum = r.opposite_hind + r.opposite_fore + r.same_side_fore;
  if (!(r.opposite_hind >= 0 && r.opposite_fore >= 0 && r.same_side_fore >= 0 && std::abs(sum - 1) < 1e-9))
    throw Error(fmt::format("the lost share must go somewhere: {:g} + {:g} + {:g} is not 1, or one part is negative",
                            r.opposite_hind, r.opposite_fore, r.same_side_fore));
}
} // namespace

bool has_limb_use(const std::string &repair) { return curves().count(repair) > 0; }

double limb_use(const std::string &repair, double week)
{
  if (!has_limb_use(repair))
    throw Error("no limb use by week is known for the repair '" + repair + "'; known: none, levelling, wedge, suture");
  if (!(week >= 0))
    throw Error(fmt::format("limb use needs a week of 0 or more, not {:g}", week));
  const Curve &curve = curves().at(repair);
  if (week <= curve.front().first)
    return curve.front().second;
  for (std::size_t i = 1; i < curve.size(); ++i)
    if (week <= curve[i].first)
    {
      const auto [w0, r0] = curve[i - 1];
      const auto [w1, r1] = curve[i];
      return r0 + (r1 - r0) * (week - w0) / (w1 - w0);
    }
  return curve.back().second;
}

std::string limb_use_label(const std::string &repair) { return repair == "none" ? "derived" : "assumption"; }

std::optional<double> fore_share(const std::string &activity)
{
  if (activity == "walk" || activity == "trot")
    return 0.60;
  if (activity == "stand")
    return 0.655;
  return std::nullopt;
}

OppositeRow opposite_row(const std::string &repair, const std::string &activity, double week,
                         const Redistribution &redistribution)
{
  check(redistribution);
  const std::optional<double> fore = fore_share(activity);
  if (!fore)
    throw Error("the share of fore and hind limbs is not known for '" + activity + "'");
  const double hind_limb = (1 - *fore) / 2, fore_limb = *fore / 2;
  OppositeRow row;
  row.week = week;
  row.repair = repair;
  row.activity = activity;
  row.operated_over_sound = row.scale_operated = limb_use(repair, week);
  row.operated_share = hind_limb * row.scale_operated;
  const double lost = hind_limb - row.operated_share;
  row.opposite_hind_share = hind_limb + redistribution.opposite_hind * lost;
  row.opposite_fore_share = fore_limb + redistribution.opposite_fore * lost;
  row.same_side_fore_share = fore_limb + redistribution.same_side_fore * lost;
  row.scale_opposite = row.opposite_hind_share / hind_limb;
  row.impulse_sum_bw = row.operated_share + row.opposite_hind_share + row.opposite_fore_share + row.same_side_fore_share;
  return row;
}

std::vector<OppositeRow> opposite_rows(const std::vector<std::string> &repairs, const std::vector<std::string> &activities,
                                       std::vector<double> weeks, const Redistribution &redistribution)
{
  std::sort(weeks.begin(), weeks.end());
  std::vector<OppositeRow> rows;
  for (const std::string &repair : repairs)
    for (const std::string &activity : activities)
      for (const double week : weeks)
        if (has_limb_use(repair) && fore_share(activity))
          rows.push_back(opposite_row(repair, activity, week, redistribution));
  return rows;
}

std::vector<std::string> opposite_left_out(const std::vector<std::string> &repairs, const std::vector<std::string> &activities)
{
  std::vector<std::string> sentences;
  for (const std::string &repair : repairs)
    if (!has_limb_use(repair))
      sentences.push_back("repair " + repair + ": no source gives the use of the limb by week after it");
  for (const std::string &activity : activities)
    if (!fore_share(activity))
      sentences.push_back("activity " + activity + ": no source gives what the fore limbs carry in it");
  return sentences;
}
} // namespace stifle
