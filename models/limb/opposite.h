// models/limb/opposite.h - how the four limbs share the body weight while one hind limb recovers
//   use      operated hind limb over the same limb when sound, by week; between weeks linear, before the first and after the last
//            held. none: 0.36 0.46 0.53 0.71 at 2, 6, 12 weeks and 2.5 years (130.4 weeks; 9 mongrels at the trot, ratios derived
//            from peak forces of an abstract). levelling: 0.40 0.65 0.80 0.92 0.96 at 2, 4, 8, 16, 26 weeks (assumption).
//            wedge: as levelling (assumption: no series by week). suture: levelling x 0.83 / 0.94, the two symmetries at 4 months
//            (VCOT 2012;25:11, abstract; that it holds at every week is an assumption). advancement: no number at all.
//   shares   body weights, vertical force averaged over a stride. A sound dog carries 60 % in front in walk and trot (abstract),
//            65.5 % when standing (middle of 62 and 69, abstracts), left and right alike. What the operated limb loses goes to
//            the other three, by default a third each (assumption; the two sources disagree about the opposite hind limb).
//   law      the mean over a stride of the vertical forces is the body weight, so the four shares add up to 1 (impulses: body
//            weight x stride time). Peak forces are taken to change as the means do: contact times held (assumption).
//   source   alternatives.md section 3, joint.md section 6a
//   limits   no side or braking force; advancement and activities other than stand, walk and trot have no numbers: Error
#pragma once
#include <optional>
#include <string>
#include <vector>

namespace stifle
{
/// Where the lost share goes; the parts are not negative and add up to 1.
struct Redistribution
{
  double opposite_hind = 1.0 / 3, opposite_fore = 1.0 / 3, same_side_fore = 1.0 / 3;
};

struct OppositeRow
{
  double week = 0;
  std::string repair, activity;
  double operated_share = 0, opposite_hind_share = 0, opposite_fore_share = 0, same_side_fore_share = 0; ///< body weights
  double operated_over_sound = 1; ///< the limb over itself when sound
  double scale_operated = 1;      ///< factor on the ground force of the operated limb in the joint solve
  double scale_opposite = 1;      ///< the same for the opposite hind limb
  double impulse_sum_bw = 0;      ///< of the four limbs / (body weight x stride time)
};

/// True for the repairs with numbers by week: none, levelling, wedge, suture.
bool has_limb_use(const std::string &repair);
/// Ratio by week; Error for another repair or a week below 0.
double limb_use(const std::string &repair, double week);
/// Label of that ratio: derived (none) or assumption.
std::string limb_use_label(const std::string &repair);
/// Part of the body weight on the fore limbs of a sound dog: stand, walk, trot; empty for the others (no source; in a turn left
/// and right differ as well).
std::optional<double> fore_share(const std::string &activity);
/// Throws Error when repair or activity have no numbers, or the parts of the redistribution do not add up.
OppositeRow opposite_row(const std::string &repair, const std::string &activity, double week,
                         const Redistribution &redistribution = {});
/// Repair outermost, then activity as listed, week rising. Repairs and activities without numbers are left out.
std::vector<OppositeRow> opposite_rows(const std::vector<std::string> &repairs, const std::vector<std::string> &activities,
                                       std::vector<double> weeks, const Redistribution &redistribution = {});
/// One sentence for each repair and activity that opposite_rows leaves out, with the reason; each once.
std::vector<std::string> opposite_left_out(const std::vector<std::string> &repairs, const std::vector<std::string> &activities);
} // namespace stifle
