#include "models/core/rig_parameters.h"

namespace stifle
{
namespace
{
const Source choice{Label::common_practice, "names and switches need no source"};

void visit_straight_plate(ParameterVisitor &v, RigParameters &p)
{
  const Source ten_holes{Label::abstract, "S2 of the construct sheet: 10-hole 3.5 locking plate over a 47 mm gap; pitch 13 mm is memory"};
  const Source tube{Label::assumption, "the tube of the composite beam, construct.md 1.12"};
  v.value("screws_mm", &p.screws_mm, RangeList{-120, 120, "mm", 0, 30}, ten_holes,
          "Straight plate: places of the holes with a locking screw along the plate from its middle, mm, proximal above 0.");
  v.value("open_holes_mm", &p.open_holes_mm, RangeList{-120, 120, "mm", 0, 30}, ten_holes,
          "Straight plate: places of the holes without a screw, mm; the plate alone has every hole open.");
  v.value("gap_mm", &p.gap_mm, Range{0.2, 100, "mm"}, ten_holes, "Distance between the two tubes, mm.");
  v.value("tube_outer_mm", &p.tube_outer_mm, Range{6, 60, "mm"}, tube, "Outer diameter of the tubes, mm.");
  v.value("tube_inner_mm", &p.tube_inner_mm, Range{1, 50, "mm"}, tube, "Inner diameter of the tubes, mm; below rig.tube_outer_mm.");
  v.value("tube_modulus_mpa", &p.tube_modulus_mpa, Range{10, 400000, "MPa"},
          {Label::memory, "cortical bone, construct.md section 6; 200000 stands for rigid"}, "Modulus of the tubes, MPa.");
}

void visit_axial(ParameterVisitor &v, RigParameters &p)
{
  const Source axis{Label::common_practice, "0: through the intercondylar point and the hock"};
  v.value("force_low_n", &p.force_low_n, Range{1, 20000, "N"}, {Label::abstract, "S12 of the construct sheet: 50 to 1000 N"},
          "Lower force of an axial test, N; stiffness is read from it to rig.force_n.");
  v.value("offset_cranial_mm", &p.offset_cranial_mm, Range{-60, 60, "mm"}, axis,
          "Axial: line of the force cranial of the functional axis, mm.");
  v.value("offset_medial_mm", &p.offset_medial_mm, Range{-60, 60, "mm"}, axis,
          "Axial: line of the force medial of the functional axis, mm; below 0 is lateral.");
}
} // namespace

std::string RigParameters::used_specimen() const
{
  if (specimen != "usual")
    return specimen;
  return kind == "four_point_bending" ? "plate" : kind == "torsion" ? "tubes" : "tibia";
}

void RigParameters::visit(ParameterVisitor &v)
{
  v.value("kind", &kind, OneOf{{"none", "four_point_bending", "torsion", "axial", "tendon_pull", "pull_out"}}, choice,
          "Bench test in place of the limb, no unit; none runs the limb.");
  v.value("specimen", &specimen, OneOf{{"usual", "plate", "tubes", "tibia"}}, choice,
          "What is tested, no unit: a straight plate, two tubes with a straight plate, or the tibia of this scenario; usual is plate "
          "for four_point_bending, tubes for torsion, tibia for the others.");
  v.value("force_n", &force_n, Range{1, 20000, "N"}, {Label::abstract, "S12 of the construct sheet: 50 to 1000 N"},
          "Force of the rig, N; of four_point_bending both loading rollers together.");
  visit_axial(v, *this);
  v.value("moment_nmm", &moment_nmm, Range{1, 1e6, "N mm"}, {Label::common_practice, "stiffness does not depend on it"},
          "Torsion: moment about the tubes, N mm.");
  v.value("screw", &screw, Range{1, 16, ""}, choice, "Pull-out: number of the screw, no unit, counted from proximal to distal.");
  v.value("span_mm", &span_mm, Range{2, 200, "mm"}, {Label::assumption, "construct.md 1.1, worked example"},
          "Four-point bending: from a support to the loading roller next to it, mm.");
  v.value("centre_span_mm", &centre_span_mm, Range{0, 300, "mm"}, {Label::assumption, "construct.md 1.1, worked example"},
          "Four-point bending: between the loading rollers, mm.");
  visit_straight_plate(v, *this);
  v.value("collapse", &collapse, Range{0, 1, ""}, choice, "Whether the load is pushed beyond first yield until it collapses, true or false.");
  v.value("largest_factor", &largest_factor, Range{1, 50, ""}, {Label::common_practice, "a push has to end somewhere"},
          "Largest load of that push over the load of the rig, pure number.");
}
} // namespace stifle
