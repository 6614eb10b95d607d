// Cranial subluxation of the torn joint: J10-J13. In the plane the size of the slack, in space the slack of the capsule and the
// free slide of the menisci were chosen with these sizes in view.
#include "scenarios/checks/joint_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
std::string slack(int dimension)
{
  return dimension == 2 ? "; joint.secondary_slack_mm 7 was chosen with this size in view"
                        : "; slack of the capsule and free slide of the menisci were chosen with this size in view";
}

struct Subluxation
{
  double intact_mm, torn_mm; ///< cranial of the intercondylar point
  double size() const { return torn_mm - intact_mm; }
};
Subluxation subluxation(int dimension, const std::string &activity)
{
  return {stood(dog(dimension), 25, LigamentState::intact, activity).translation_cranial_mm,
          stood(dog(dimension), 25, LigamentState::torn, activity).translation_cranial_mm};
}

/// Standing, torn and levelled to 5.5 against intact and whole.
double levelled_shift_mm(const Scenario &operated)
{
  return stood(operated, 5.5, LigamentState::torn, "stand").translation_cranial_mm -
         stood(dog(operated.joint.dimension), 25, LigamentState::intact, "stand").translation_cranial_mm;
}

Rows walking(int dimension)
{
  const Subluxation s = subluxation(dimension, "walk");
  return {because(
      in_view(reported("J10", "cranial subluxation, walk 50 %, torn" + plane_mark(dimension), s.size(), {9.7, 3, "mm"},
                       "PMC5848543 (abstract)" + slack(dimension))),
      fmt::format("the intact joint has itself gone {:.1f} mm cranial (its cruciate stretches and the tibia turns) and the "
                  "horns of the medial meniscus hold the torn one at {:.1f} mm",
                  s.intact_mm, s.torn_mm))};
}

Rows standing(int dimension)
{
  return {in_view(reported("J11", "cranial subluxation, standing, torn" + plane_mark(dimension),
                           subluxation(dimension, "stand").size(), {6.3, 4.8, "mm"},
                           "10.1111/j.1532-950X.2012.00973.x (abstract), 2 SD" + slack(dimension)))};
}

const std::string standing_films = "10.1111/j.1532-950X.2012.00973.x (abstract)";

Rows levelled(int dimension)
{
  const std::string bed = dimension == 2 ? "; bed without menisci" : "; menisci whole";
  return {reported("J12", "shift, standing, torn, levelled to 5.5" + plane_mark(dimension), levelled_shift_mm(dog(dimension)),
                   {0, 1.5, "mm"}, standing_films + bed)};
}

Rows levelled_without_meniscus()
{
  const double whole = levelled_shift_mm(dog(3));
  const double thrust = stood(dog(3), 5.5, LigamentState::torn, "stand").thrust_n;
  Rows rows;
  for (const auto &[state, words] :
       {std::pair{"caudal_pole_removed", "medial caudal pole lost"}, {"removed", "medial meniscus lost"}})
  {
    Scenario s = dog(3);
    s.joint.meniscus_medial = state;
    const double shift = levelled_shift_mm(s);
    rows.push_back(
        because(stated("J12", fmt::format("{}: shift clearly larger", words), std::abs(shift) - std::abs(whole) > 1.5,
                       standing_films + fmt::format("; shift {:.2f} mm, {:.2f} mm with whole menisci; clearly: by more than "
                                                    "the 1.5 mm that count as normal (our reading)",
                                                    shift, whole)),
                fmt::format("the thrust of standing at 5.5 deg is {:.0f} N here, so nothing drives the tibia cranially "
                            "against the meniscus that is missing",
                            thrust)));
  }
  return rows;
}

Rows flexed(int dimension)
{
  const auto shift = [&](double stifle)
  {
    const Scenario s = dog(dimension);
    return pressed(s, {25, stifle, thirty_percent_n(), LigamentState::torn}).translation_cranial_mm -
           pressed(s, {25, stifle, thirty_percent_n()}).translation_cranial_mm;
  };
  const double at_135 = shift(135);
  const std::string source = "10.1111/j.1532-950X.2010.00655.x (abstract); set press, 30 % of body weight, no repair";
  return {reported("J13", "cranial shift at stifle 90" + plane_mark(dimension), shift(90), {0, 2, "mm"}, source),
          stated("J13", "cranial shift at stifle 135 is marked (> 2 mm)" + plane_mark(dimension), at_135 > 2,
                 source + fmt::format("; shift {:.2f} mm", at_135))};
}
} // namespace

std::vector<CheckCase> subluxation_checks()
{
  return {in_both("J10", walking),
          in_both("J11", standing),
          in_both("J12", levelled),
          {"J12", levelled_without_meniscus},
          in_both("J13", flexed)};
}
} // namespace stifle::checks
