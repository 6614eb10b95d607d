#include "models/core/scenario_repairs.h"
#include "models/parts/suture.h"

namespace stifle
{
void visit_wedge(ParameterVisitor &v, WedgeParameters &p)
{
  v.value("wedge_deg", &p.wedge_deg, Range{1, 45, "deg"}, naming,
          "Angle of the removed wedge, deg; null: computed so that the plateau angle achieved is wedge.target_deg.");
  v.value("target_deg", &p.target_deg, Range{-10, 50, "deg"},
          {Label::abstract, "neutral at 4 to 6 deg in 6 cadaver limbs, wedge angle against subluxation, Vet Surg"},
          "Plateau angle aimed at against the new functional axis, deg; not used when wedge.wedge_deg is given.");
  v.value("hinge_distance_mm", &p.hinge_distance_mm, Range{10, 250, "mm"},
          {Label::assumption, "75 mm on a 200 mm tibia: the cut below the crest; this D meets the cadaver angles within 0.7 deg"},
          "Hinge of the wedge distal of the intercondylar point, mm; null: 75 mm scaled with the tibia.");
  v.value("axis_distance_mm", &p.axis_distance_mm, Range{0, 40, "mm"},
          {Label::assumption, "10 mm on a 200 mm tibia: half the depth of the shaft"},
          "Functional axis cranial of the hinge, mm; null: 10 mm scaled with the tibia.");
}

void visit_suture(ParameterVisitor &v, SutureParameters &p)
{
  v.value("line", &p.line, OneOf{suture_material_names()},
          {Label::common_practice, "crimped nylon leader line; the two lines measured in Vet Surg 2011;40:334"},
          "Line, no unit; its stiffness, yield and peak force stand in models/parts/suture.cc.");
  v.value("pre_tension_n", &p.pre_tension_n, Range{0, 120, "N"},
          {Label::abstract, "25 to 70 N tested; from 40 N the lateral peak pressure rises, 10.1111/j.1532-950x.2010.00664.x"},
          "Tension when the loop is closed, N; about a quarter (nylon) or a third (braid) of it is lost at once.");
  v.value("fixed_at_deg", &p.fixed_at_deg, Range{60, 165, "deg"},
          {Label::abstract, "fix near extension: fixed at 70 deg the line slackens, 10.1111/j.1532-950X.2010.00659.x"},
          "Angle of the stifle in which the line is fixed, joint reduced, deg; 180 is straight.");
  v.value("anchor_stiffness_n_per_mm", &p.anchor_stiffness_n_per_mm, Range{1, 1000, "N/mm"},
          {Label::derived, "72 N at 5 mm cranial shift = 14.4 N/mm (10.1111/j.1532-950X.2014.12111.x, abstract); line at 40 deg to "
                           "the plateau (assumption): 14.4/cos^2 40 = 24.5 N/mm along it; 1/(1/24.5 - 1/125.7) = 30.5 N/mm"},
          "Stiffness of the soft anchors at both ends together, in series with the line, N/mm; not scaled.");
  v.value("slack_mm", &p.slack_mm, Range{0, 20, "mm"}, {Label::assumption, "a well placed line has none"},
          "Length that the line has too much from the start, mm.");
  v.value("cycles", &p.cycles, Range{0, 1e7, ""},
          {Label::assumption, "0 is the day of surgery; 8 weeks of walking are 140 000 to 420 000 strides"},
          "Loadings since surgery, pure number; the line creeps by 0.5 % of its length per decade of them.");
}

void visit_advancement(ParameterVisitor &v, AdvancementParameters &p)
{
  v.value("advancement_mm", &p.advancement_mm, Range{0.5, 20, "mm"},
          {Label::read, "aim: tendon square to the plateau at stifle 135, textbook p. 228; L sin(PTA - 90) is derived"},
          "Advancement of the tendon insertion along the plateau, mm; null: computed for a tendon angle of 90 deg.");
  v.value("spacer_mm", &p.spacer_mm, Range{3, 15, "mm"},
          {Label::abstract, "advancement 15.5 % less than the size, 164 dogs, 10.1186/s12917-018-1433-0; sizes from memory"},
          "Size of the spacer, mm; sets the advancement to 0.845 of it; null while advancement_mm is given or computed.");
  v.value("proximal_shift_mm", &p.proximal_shift_mm, Range{-10, 10, "mm"},
          {Label::assumption, "0: along the plateau; 6 mm kept the height of the patella in cadavers, 10.1186/s12917-017-0942-6"},
          "Shift of the tendon insertion square to the plateau, mm; above 0 is proximal.");
}
} // namespace stifle
