#include "scenarios/app/closing.h"
#include "models/core/text_width.h"
#include "models/margins/yield.h"
#include "models/parts/part_name.h"
#include "scenarios/app/excluded_peaks.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
/// So many digits that count, rounded down: 1.48 is not yet the adequate 1.5.
std::string cut_digits(double margin, int digits)
{
  const double limited = std::min(margin, 9999.0);
  if (!(limited > 0))
    return fmt::format("{:g}", limited);
  const double unit = std::pow(10, std::max(0.0, digits - 1 - std::floor(std::log10(limited))));
  return fmt::format("{:.{}g}", std::floor(unit * limited + 1e-9) / unit, std::max(digits, 4));
}

struct LeastMargin
{
  std::optional<double> value;
  std::string           part;
  void take(const MarginRow &row)
  {
    if (row.margin && (!value || *row.margin < *value))
    {
      value = row.margin;
      part  = row.part;
    }
  }
  std::string text() const
  {
    return value ? cut_digits(*value, 2) + " " + part : std::string("-");
  }
};

/// What one line of the table says about a slope: the largest over weeks, activities and instants.
struct Line
{
  double      slope_deg = 0;
  bool        operated  = false;
  double      thrust_n = 0, cranial_intact_n = 0, caudal_torn_n = 0;
  std::string screw = "-";
  double      screw_mpa = 0, plate_mpa = 0;
  LeastMargin metal, bone;
};

void add_joint(Line &line, const std::vector<JointRow> &rows, const SlopeResult &slope)
{
  for (const JointRow &row : rows)
  {
    if (row.set != LoadSet::stance || !row.state.converged || row.repair != (slope.operated ? "levelling" : "none") ||
        std::abs(row.plateau_angle_deg - slope.achieved_deg) > 1e-6)
      continue;
    if (row.ligament == LigamentState::intact)
      line.cranial_intact_n = std::max(line.cranial_intact_n, row.state.cruciate_cranial_n);
    else
      line.caudal_torn_n = std::max(line.caudal_torn_n, row.state.cruciate_caudal_n);
    if (std::abs(row.state.thrust_n) > std::abs(line.thrust_n))
      line.thrust_n = row.state.thrust_n;
  }
}

void add_construct(Line &line, const std::vector<MarginRow> &margins, const SlopeResult &slope)
{
  for (const StateRow &state : slope.states)
    for (const PartPeak &peak : state.state.peaks)
    {
      if (peak.excluded)
        continue;
      if (peak.part == "plate")
        line.plate_mpa = std::max(line.plate_mpa, peak.von_mises_mpa);
      if (is_screw(peak.part) && peak.von_mises_mpa > line.screw_mpa)
      {
        line.screw     = peak.part.substr(6);
        line.screw_mpa = peak.von_mises_mpa;
      }
    }
  for (const MarginRow &row : margins)
    if (is_yield(row.mode) && row.operated == slope.operated && row.plateau_angle_target_deg == slope.target_deg)
      (is_metal(row.part) ? line.metal : line.bone).take(row);
}

std::string text(const Line &line)
{
  const auto cell = [&](double value) { return line.operated ? fmt::format("{:.0f}", value) : std::string("-"); };
  return fmt::format("{:>4.1f}{:1}{:>7.0f} {:>7.0f} {:>6.0f} {:>3} {:>4} {:>5} {:<12} {}\n", line.slope_deg,
                     line.operated ? "" : "*", line.thrust_n, line.cranial_intact_n, line.caudal_torn_n, line.screw,
                     cell(line.screw_mpa), cell(line.plate_mpa), line.metal.text(), line.bone.text());
}

std::string margin_text(double margin)
{
  return cut_digits(margin, 3);
}

/// What comes nearest to its limit in each week under each activity, levelled slopes together; where there are several weeks.
std::string weeks_text(const std::vector<MarginRow> &margins)
{
  std::vector<const MarginRow *> least; // rows come in the order of weeks, then activities
  for (const MarginRow &row : margins)
  {
    if (!row.operated || !row.percent || !row.margin || row.part == "construct")
      continue;
    const auto same = std::find_if(least.begin(), least.end(),
                                   [&](const MarginRow *r) { return r->week == row.week && r->activity == row.activity; });
    if (same == least.end())
      least.push_back(&row);
    else if (*row.margin < *(*same)->margin)
      *same = &row;
  }
  std::stable_sort(least.begin(), least.end(), [](const MarginRow *a, const MarginRow *b) { return a->week < b->week; });
  if (least.empty() || least.front()->week == least.back()->week)
    return "";
  std::string out = "Nearest to its limit, week by week (levelled; fatigue runs over all weeks)\n\n"
                    " Week Activity        Margin  Verdict    Part                Mode         Slope\n";
  for (const MarginRow *row : least)
    out += fmt::format("{:>5.4g} {:<15.15} {:>6}  {:<10.10} {:<19.19} {:<12.12} {:>5.1f}\n", row->week, row->activity, margin_text(*row->margin),
                       row->verdict, row->part, row->mode, row->plateau_angle_deg);
  return out + "\n";
}

/// The activities whose muscle forces no muscle has: their margins are those of a load that cannot be.
std::string cap_text(const std::vector<JointRow> &joint)
{
  std::vector<std::string> beyond;
  for (const JointRow &row : joint)
    if (row.beyond_muscle_cap && !row.activity.empty() && std::find(beyond.begin(), beyond.end(), row.activity) == beyond.end())
      beyond.push_back(row.activity);
  if (beyond.empty())
    return "";
  return fmt::format("Beyond what the quadriceps can pull (beyond_muscle_cap in joint.csv), so\nforces and margins are upper bounds: {}.\n\n",
                     fmt::join(beyond, ", "));
}

/// The least margin of every failure mode over slopes, weeks, activities and parts.
std::string modes_text(const std::vector<MarginRow> &margins)
{
  const std::vector<MarginRow> least = least_by_mode(margins);
  if (least.empty())
    return "";
  std::string out = "Least margin of each failure mode (capacity over demand; margins.csv has all)\n\n"
                    "Mode          Margin  Verdict    Part                Slope  Week Activity\n";
  for (const MarginRow &row : least)
  {
    out += fmt::format("{:<13.13} {:>6}  {:<10.10} {:<19.19} {:>5.1f} {:>5} {:.15}\n", row.mode, margin_text(*row.margin), row.verdict, row.part,
                       row.plateau_angle_deg, row.percent ? fmt::format("{:.4g}", row.week) : "all", row.activity);
  }
  return out + "\n";
}

/// " (9.1 to 14.8)": 5 and 95 % of the drawn dogs that have such a slope.
std::string band_text(const Band *band)
{
  if (!band)
    return "";
  if (!band->low)
    return " (no band)";
  const std::string missing = band->failed ? fmt::format("; {} none", band->failed) : "";
  return fmt::format(" ({:.1f} to {:.1f}{})", *band->low, *band->high, missing);
}

std::string neutral_text(const NeutralAngles &neutral)
{
  std::string out = "Thrust vanishes at a plateau slope of:\n";
  const auto add = [&](const std::string &what, const std::optional<double> &angle, const Band *band)
  {
    out += fmt::format("  {:<42.42} {}{}\n", what, angle ? fmt::format("{:.1f} deg", *angle) : std::string("none found"),
                       band_text(band));
  };
  const std::vector<std::pair<LoadSet, std::string>> meaning = {{LoadSet::axial, "axial: force along the tibia, no muscle"},
                                                                {LoadSet::tendon, "tendon: foot force parallel to the tendon"},
                                                                {LoadSet::press, "press: cadaver limb in a press"},
                                                                {LoadSet::stance, "stance: full balance, walk, mid-stance"}};
  for (const auto &[name, angle] : neutral.by_load_set)
    for (const auto &[set, words] : meaning)
      if (name == to_string(set))
        add(words, angle, neutral.band(name));
  for (const auto &[activity, angle] : neutral.by_activity)
    add("this dog, " + activity + ", mid-stance", angle, neutral.band(activity));
  if (!neutral.bands.empty())
    out += fmt::format("In brackets: true slope, 5 to 95 % of {} drawn dogs; an observer's error widens\n"
                       "it (bands.csv). \"2 none\": in two of them no slope from -10 to 40 deg is neutral.\n",
                       neutral.bands.front().angle.samples);
  return out;
}
} // namespace

std::string closing_text(const std::vector<JointRow> &joint, const NeutralAngles &neutral, const JudgedSlopes &judged)
{
  std::string out;
  if (!judged.slopes.empty())
    out += "Largest over all activities and instants of stance (* unoperated, no plate)\n\n"
           "Slope Thrust Cruciate force Top screw Plate Least margin against yield\n"
           "             cranial caudal  no. peak  peak metal        bone\n"
           " deg       N  intact   torn       MPa   MPa\n";
  for (const SlopeResult &slope : judged.slopes)
  {
    Line line;
    line.slope_deg = slope.achieved_deg;
    line.operated  = slope.operated;
    add_joint(line, joint, slope);
    add_construct(line, judged.margins, slope);
    out += slope.error.empty() ? text(line) : fmt::format("{:>5.1f}   failed: {}\n", slope.achieved_deg, slope.error);
  }
  return wrap_text(out + "\nThrust above 0 drives the tibia cranially, below 0 caudally.\n\n" + weeks_text(judged.margins) +
                   modes_text(judged.margins) + cap_text(joint) + excluded_text(judged.slopes) + neutral_text(neutral));
}

std::string rig_text(const Scenario &scenario, const JudgedSlopes &judged)
{
  std::string out = fmt::format("Rig {} on {}\n", scenario.rig.kind, scenario.rig.used_specimen());
  for (const SlopeResult &slope : judged.slopes)
  {
    out += fmt::format("\nPlateau slope {:.1f} deg\n", slope.achieved_deg);
    for (const RigRow &row : slope.rig)
      out += fmt::format("{:<40.40} {:>10.5g} {:<7} {}\n", row.quantity, row.value, row.unit, row.part);
    if (!slope.error.empty())
      out += "failed: " + slope.error + "\n";
  }
  out += "\nLoads beyond the one applied are linear from it.\n";
  for (const MarginRow &row : judged.margins)
    if (scenario.rig.kind == "pull_out" && row.mode == "pull_out" && row.part == fmt::format("screw_{}", scenario.rig.screw))
      out += fmt::format("The bone around its thread holds {} with {:.0f} N (pull_out in margins.csv); the damage above is "
                         "metal or bone at a peak, not the thread.\n", row.part, row.capacity);
  return wrap_text(out);
}

std::string results_line(const std::string &folder) { return "Results in " + folder + "\n"; }
} // namespace stifle::app
